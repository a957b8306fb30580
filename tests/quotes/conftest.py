"""A small shop with prices and parts. Letters are rows without wording here."""

from collections.abc import Callable
from datetime import datetime

import pytest
from django.db import connection
from django.db.models import Model

from intake import letters
from intake.append_only import arm, disarm
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


@pytest.fixture
def behind(db: None) -> Callable[[type[Model], Callable[[], object]], None]:
    """Change rows as one who owns the database may: the triggers off, the deed, the triggers on again."""

    def do(model: type[Model], deed: Callable[[], object]) -> None:
        disarm(connection, model._meta.db_table)
        deed()
        arm(connection, model._meta.db_table)

    return do
