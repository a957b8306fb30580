"""The kinds of rows in an owner's words."""

import datetime as dt

from shop.keeping import register
from shop.keeping.kinds import SETTABLE
from shop.keeping.row_words import WORDS, last_day, named, said


def test_every_kind_that_is_let_go_has_words() -> None:
    rows = {*register.cleared(), *(row for kind in SETTABLE for row in register.of_kind(kind.name))}
    assert {row.partition(".")[2] for row in rows} <= set(WORDS)


def test_a_name_without_words_is_said_as_it_is() -> None:
    assert said("paper files") == "paper files"
    assert named({"Slip": 2, "photos": 1}) == [("reasons for waiting", 2), ("photos", 1)]


def test_last_day_is_a_date_or_none_for_good() -> None:
    assert (last_day("2031-03-01"), last_day("for good")) == (dt.date(2031, 3, 1), None)
