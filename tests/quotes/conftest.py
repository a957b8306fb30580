"""A small shop with prices and parts. Letters are rows without wording here."""

from datetime import datetime

import pytest

from intake import letters
from intake.models import Letterhead, Person
from quotes.models import Part, Rates, Remedy
from tests import bench_orders


@pytest.fixture(autouse=True)
def _plain_letters(monkeypatch: pytest.MonkeyPatch) -> None:
    """The wording is tested with the letters; here only that there is one, of which kind, once."""
    monkeypatch.setattr(letters, "render_to_string", lambda name, context: name)


@pytest.fixture
def rates(letterhead: Letterhead, at: datetime) -> Rates:
    return bench_orders.make_rates(at)


@pytest.fixture
def remedy(db: None) -> Remedy:
    return bench_orders.make_remedy()


@pytest.fixture
def part(technician: Person, at: datetime) -> Part:
    return bench_orders.make_part(by=technician, at=at)
