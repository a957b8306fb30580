"""A technician at the bench, signed in."""

from types import SimpleNamespace

import pytest
from django.test import Client


@pytest.fixture
def staff(bench: SimpleNamespace) -> Client:
    """The technician's browser; the shop is set up."""
    client = Client()
    client.force_login(bench.technician)
    return client
