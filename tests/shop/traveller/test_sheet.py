"""The traveller's page: what it shows, who may see it, and how many queries it takes."""

from datetime import datetime

import pytest
from django.test import Client

from intake.models import Letterhead, Person
from tests import walk

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(client: Client, technician: Person, letterhead: Letterhead) -> Client:
    client.force_login(technician)
    return client


def test_sheet_shows_what_the_customer_said(bench: Client, at: datetime) -> None:
    order = walk.request(at=at)
    page = bench.get(f"/sheet/{order.code}/")
    assert page.status_code == 200
    text = page.content.decode()
    assert order.code in text
    assert "Rings but nobody hears me." in text
    assert "The microphone is blown" in text
