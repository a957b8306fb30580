"""A quote's choices read back from its frozen record, old and new."""

import datetime as dt
import itertools
from decimal import Decimal as D
from typing import Any

import pytest

from quotes.consents import KEYS, consents_for, kept
from quotes.offered import changes_of, deposit_of, offered, offered_as

OLD: dict[str, Any] = {
    "lines": [
        {"kind": "labour", "text": "Run a wire", "quantity": "1", "amount": "96.00", "still_charged": False}
    ],
    "taxes": [{"name": "Tax", "rate": "8", "base": "4.00", "tax": "0.32"}],
    "net": "96.00",
    "tax": "0.32",
    "promise": "2026-02-10",
    "warranty_days": 90,
    "no_fix": {"total": "12.00", "made_of": "Return post.", "words": ""},
    "choices": [
        {"choice": "mend", "label": "Mend it", "total": "96.32", "words": ""},
        {"choice": "back", "label": "Send it back as it is", "total": "12.00", "words": "Return post."},
    ],
}
NEW: dict[str, Any] = {
    **OLD,
    "choices": [
        {
            **OLD["choices"][0],
            "totals": {"": "96.32", "e1": "107.33", "e2": "115.32", "e1,e2": "126.34"},
            "lines": [*OLD["lines"], {**OLD["lines"][0], "text": "Front film", "extra": "e1"}],
            "chance": "Good. We know the fault.",
        },
        OLD["choices"][1],
    ],
    "extras": [
        {"key": "e1", "text": "Front film", "choices": ["mend"], "amounts": {"mend": "11.01"}},
        {"key": "e2", "text": "Clean vents", "choices": ["mend"], "amounts": {"mend": "19.00"}},
    ],
    "deposit": {"amount": "40.00", "words": "For the socket."},
    "changes": [
        {"kind": "added", "text": "Front film", "before": None, "after": "11.00", "change": "11.00"},
        {"kind": "same", "text": "Run a wire", "before": "96.00", "after": "96.00", "change": "0.00"},
    ],
}


def test_record_of_one_repair_reads_as_its_choice() -> None:
    mend, back = offered(OLD)
    assert (mend.total, mend.no_fix_total, mend.promise) == (D("96.32"), D("12.00"), dt.date(2026, 2, 10))
    assert [line.text for line in mend.lines] == ["Run a wire"] and mend.taxes[0].tax == D("0.32")
    assert (mend.is_work, back.is_work, back.lines, back.no_fix_total) == (True, False, (), None)
    assert (mend.extras, deposit_of(OLD), changes_of(OLD)) == ((), None, ())


@pytest.mark.parametrize(
    ("keys", "total"), [("", "96.32"), ("e1", "107.33"), ("e2,e1", "126.34"), ("e9", None)]
)
def test_total_with_extras_is_the_one_that_was_frozen(keys: str, total: str | None) -> None:
    mend = offered(NEW)[0]
    assert mend.total_with(key for key in keys.split(",") if key) == (D(total) if total else None)


def test_extras_taken_add_up_to_the_frozen_total_whatever_their_order() -> None:
    mend = offered(NEW)[0]
    assert mend.total is not None
    for size in range(3):
        for keys in itertools.permutations(("e1", "e2"), size):
            assert mend.total + sum(adds for _, adds in mend.taken(keys)) == mend.total_with(keys)


def test_extra_belongs_only_to_the_choices_it_is_offered_for() -> None:
    mend, back = offered(NEW)
    assert [(extra.key, extra.amount) for extra in mend.extras] == [("e1", D("11.01")), ("e2", D("19.00"))]
    assert back.extras == () and back.total_with(["e1"]) is None


def test_what_stayed_the_same_is_no_change() -> None:
    (change,) = changes_of(NEW)
    assert (change.text, change.before, change.after, change.change) == (
        "Front film",
        None,
        D("11.00"),
        D("11.00"),
    )


def test_unknown_choice_is_none() -> None:
    assert offered_as(NEW, "free") is None


@pytest.mark.parametrize(
    ("choice", "words", "stake", "keys"),
    [
        ("mend", "", True, []), ("mend", "14 days.", True, ["start", "ends"]), ("back", "14 days.", True, []),
        ("recycle", "", False, ["wipe"]), ("clean", "", True, ["no_promise", "data"]), ("clean", "", False, ["no_promise"]),
        ("data", "", True, ["data"]), ("data", "14 days.", False, ["start", "ends"]), ("first", "14 days.", True, []),
    ],
)  # fmt: skip
def test_each_choice_asks_for_its_own_consents(choice: str, words: str, stake: bool, keys: list[str]) -> None:
    asked = consents_for(choice, withdrawal_words=words, data_at_stake=stake)
    assert [consent.key for consent in asked] == keys
    assert set(keys) <= set(KEYS) and all(consent.missing for consent in asked)


def test_consent_is_kept_word_for_word_with_its_version() -> None:
    start = consents_for("mend", withdrawal_words="You may withdraw within 14 days.", data_at_stake=False)[0]
    assert kept([start], version=4) == [
        {
            "key": "start",
            "words": "Yes, start before my time to withdraw is over. You may withdraw within 14 days.",
            "version": "4",
        }
    ]
