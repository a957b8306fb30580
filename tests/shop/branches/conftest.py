"""A technician and an owner, signed in, for the branches."""

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client

from intake.models import Order

Post = Callable[..., HttpResponse]


def _signed_in(person: Any) -> Client:
    client = Client()
    client.force_login(person)
    return client


@pytest.fixture
def staff(bench: SimpleNamespace) -> Client:
    return _signed_in(bench.technician)


@pytest.fixture
def owner_client(bench: SimpleNamespace) -> Client:
    return _signed_in(bench.owner)


@pytest.fixture
def post(staff: Client) -> Post:
    """Posts to a sheet's address with the version as it stands now."""

    def posting(order: Order, place: str, *, client: Client = staff, **fields: Any) -> HttpResponse:
        order.refresh_from_db()
        return client.post(f"/sheet/{order.code}/{place}/", {"version": order.version, **fields})

    return posting


@pytest.fixture
def kinds() -> Callable[[Order], list[str]]:
    """The kinds of an order's letters, in the order they were written."""
    return lambda order: list(order.letters.order_by("pk").values_list("kind", flat=True))
