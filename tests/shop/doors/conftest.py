"""Somebody with a second step, and what their phone would show."""

import datetime as dt
from collections.abc import Callable, Iterator

import pytest

from intake import drain
from intake.models import Letterhead, Person
from shop.doors import factor, one_time

NOW = dt.datetime(2026, 2, 2, 9, 0, tzinfo=dt.UTC)


class Clock:
    """The one clock of the views, moved by hand."""

    def __init__(self) -> None:
        self.at = NOW

    def on(self, **by: float) -> None:
        self.at += dt.timedelta(**by)


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Iterator[Clock]:
    hand = Clock()
    monkeypatch.setattr(drain, "now", lambda: hand.at)
    return hand


@pytest.fixture
def phone(letterhead: Letterhead, owner: Person, clock: Clock) -> Callable[[], str]:
    """The owner has a second step; calling this gives the code that the phone shows at the moment."""
    row = factor.begin(person=owner, by=owner, at=clock.at)
    secret = factor.secret_of(row)
    shows = lambda: one_time.code_at(secret, one_time.step_at(clock.at.timestamp()))  # noqa: E731 -- as short as its use
    owner.list_lines = factor.confirm(person=owner, typed=shows(), by=owner, at=clock.at)
    owner.refresh_from_db()
    clock.on(minutes=1)
    return shows
