"""Spellings fold, merges are followed, and every text counts under exactly one word whatever was merged."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.list_words import BOARD, FAULT, POINT, Word, Words, fold, likely_doubles


@pytest.mark.parametrize(
    "one, other",
    [
        ("PP_VCC-Main", "pp vcc main"),
        ("Boost  out.", "boost-out"),
        ("820-1234", "820 1234"),
        ("1,8 V rail", "1.8V rail"),
        ("ＡＢ１", "ab1"),
        ("rail -5V", "rail \u22125v"),
    ],
)
def test_fold_of_two_spellings_is_one(one, other):
    assert fold(one) == fold(other)


@pytest.mark.parametrize(
    "one, other",
    [("1.8 V", "18 V"), ("-5 V", "5 V"), ("U1 2", "U12"), ("C2301", "C2302"), ("...", "-"), ("5V+", "5V")],
)
def test_fold_of_two_things_is_two(one, other):
    assert fold(one) != fold(other)


@given(st.text(max_size=150))
def test_fold_of_folded_text_is_itself(text):
    assert fold(fold(text)) == fold(text) and len(fold(text)) <= 120


def test_canonical_of_unknown_text_is_itself_folded():
    assert Words([]).canonical(FAULT, "Torn Pad") == "tornpad"


def test_canonical_follows_a_chain_of_merges():
    words = Words([Word(1, FAULT, "a", into=2), Word(2, FAULT, "b", into=3), Word(3, FAULT, "c")])
    assert {words.canonical(FAULT, text) for text in "ABC"} == {"c"}
    assert words.canonical(POINT, "a") == "a"


def test_points_of_two_boards_stay_apart_until_the_boards_are_merged():
    def lists(into=None):
        boards = [Word(1, BOARD, "x"), Word(2, BOARD, "y", into=into)]
        return Words([*boards, Word(3, POINT, "p", within=1, into=4), Word(4, POINT, "q", within=1)])

    apart, merged = lists(), lists(into=1)
    assert apart.key(POINT, "p", "Y") == (POINT, "y", "p") != apart.key(POINT, "p", "X")
    assert merged.key(POINT, "p", "Y") == merged.key(POINT, "P", "x") == (POINT, "x", "q")


def test_ring_made_by_merged_boards_has_one_end():
    ring = Words(
        [
            Word(1, BOARD, "x"), Word(2, BOARD, "y", into=1),
            Word(3, POINT, "p", within=1, into=4), Word(4, POINT, "q", within=1),
            Word(5, POINT, "p", within=2), Word(6, POINT, "q", within=2, into=5),
        ]
    )  # fmt: skip
    assert {ring.canonical(POINT, text, board) for text in "pq" for board in "xy"} == {"p"}


def test_likely_doubles_are_near_spellings_with_the_same_numbers():
    found = likely_doubles(["tornpad", "tronpad", "tornpads", "c2301", "c2302", "liquidcorrosion"])
    assert {frozenset(pair[:2]) for pair in found} == {
        frozenset(("tornpad", "tronpad")),
        frozenset(("tornpad", "tornpads")),
    }


NAMES = ["p", "q", "r", "s"]
BOARDS = ["x", "y", "z"]


@given(
    st.lists(st.tuples(st.booleans(), st.integers(0, 11), st.integers(0, 11))),
    st.lists(st.tuples(st.sampled_from(NAMES), st.sampled_from(BOARDS)), max_size=30),
)
def test_every_reading_counts_once_after_any_merges_and_partings(deeds, readings):
    rows = {number: Word(number, BOARD, name) for number, name in enumerate(BOARDS, start=100)}
    rows |= {number: Word(number, POINT, NAMES[number % 4], within=100 + number // 4) for number in range(12)}
    for on_boards, one, other in deeds:
        one, other = (100 + one % 3, 100 + other % 3) if on_boards else (one, other)
        row, words = rows[one], Words(rows.values())
        if row.into is not None:
            rows[one] = Word(row.pk, row.kind, row.folded, row.within)
        elif not words.against_merging(one, other):
            rows[one] = Word(row.pk, row.kind, row.folded, row.within, other)
            assert Words(rows.values()).key_of(rows[one]) == words.key_of(rows[other])
    words = Words(rows.values())
    listed = {words.key_of(row) for row in rows.values()}
    counted = Counter(words.key(POINT, point, board) for point, board in readings)
    assert sum(counted.values()) == len(readings)
    assert set(counted) <= listed, "a reading counts under a word that is on no list"
    for key in counted:
        assert words.key(POINT, key[2], key[1]) == key, "a word counts under another one than itself"
