"""Likeness of two orders, the vote of the nearest, and the count of how often it was right."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.books.outcome_maths import Rate
from shop.seen.gower_maths import (
    Case,
    Near,
    commonest,
    leave_one_out,
    likeness,
    nearest,
    predictions,
    suggestion,
)

KINDS, FAMILIES, FAULTS = ["phone", "tablet"], ["Zarnik Z7", "Oblivu 4"], ["torn pad", "liquid", "short"]
cases = st.builds(
    Case,
    number=st.integers(1, 10_000),
    kind=st.sampled_from(KINDS),
    family=st.sampled_from(FAMILIES),
    symptoms=st.frozensets(st.sampled_from("abcd")),
    before=st.frozensets(st.sampled_from("xyz")),
    verdicts=st.dictionaries(st.sampled_from(["p1", "p2", "p3"]), st.sampled_from(["ok", "open", "short"])),
    fault=st.sampled_from(FAULTS),
)


def case(number=1, *, kind="phone", family="Zarnik Z7", fault="torn pad", **more):
    return Case(number=number, kind=kind, family=family, fault=fault, **more)


def by_hand(one: Case, other: Case) -> Fraction:
    """Gower's mean as it is written: sum of weight times score over sum of weights, exactly."""
    terms = [(1, Fraction(one.kind == other.kind)), (1, Fraction(one.family == other.family))]
    for mine, theirs in ((one.symptoms, other.symptoms), (one.before, other.before)):
        both = [len([1 for each in mine if each in theirs]), len({*mine, *theirs})]
        terms.append((1, Fraction(*both)) if both[1] else (0, Fraction(0)))
    for place in {*one.verdicts, *other.verdicts}:
        known = place in one.verdicts and place in other.verdicts
        terms.append((int(known), Fraction(known and one.verdicts[place] == other.verdicts[place])))
    return sum((weight * score for weight, score in terms), Fraction(0)) / sum(weight for weight, _ in terms)


@given(cases, cases)
def test_likeness_is_gowers_mean(one, other):
    assert likeness(one, other) == pytest.approx(float(by_hand(one, other)), abs=1e-12)
    assert likeness(one, other) == likeness(other, one)
    assert 0 <= likeness(one, other) <= 1 == likeness(one, one)


def test_likeness_leaves_out_what_one_of_them_lacks():
    one = case(verdicts={"p1": "open", "p2": "ok"}, symptoms=frozenset("ab"))
    other = case(2, verdicts={"p1": "open", "p3": "low"}, symptoms=frozenset("bc"), family="Oblivu 4")
    assert likeness(one, other) == pytest.approx((1 + 0 + 1 / 3 + 1) / 4)


def test_nearest_of_equals_is_the_later():
    told = nearest(case(9), [case(1), case(3), case(2), case(9), case(4, kind="tablet")], most=3)
    assert [near.case.number for near in told] == [3, 2, 1]


def test_suggestion_weighs_votes_by_likeness():
    near = [Near(case(1, fault="a"), 0.9), Near(case(2, fault="b"), 0.5), Near(case(3, fault="b"), 0.5)]
    told = suggestion(near)
    assert told is not None and (told.fault, told.votes, told.asked) == ("b", 2, 3)


def test_suggestion_of_equal_weight_is_the_nearest_ones():
    near = [Near(case(1, fault="b"), 0.5), Near(case(2, fault="a"), 0.5)]
    assert suggestion(near).fault == "b"


def test_suggestion_of_nobody_is_none():
    assert suggestion([]) is None
    assert suggestion([Near(case(), 0.0)]) is None


def test_leave_one_out_of_a_single_order_rests_on_nothing():
    assert leave_one_out([case()]) == Rate(0, 0) == commonest([case()])


def test_leave_one_out_counts_what_the_others_say():
    told = [
        case(number, family=name, fault=name) for number, name in enumerate(["a", "a", "a", "b", "b", "c"])
    ]
    assert leave_one_out(told, most=1) == Rate(5, 6)


def test_commonest_is_the_share_of_the_fault_found_most_often():
    assert commonest([case(number, fault=name) for number, name in enumerate("aab")]) == Rate(2, 3)
    assert commonest([case(number, fault=name) for number, name in enumerate("aabb")]) == Rate(2, 4)


@given(st.lists(cases, unique_by=lambda each: each.number, max_size=12))
def test_predictions_are_what_a_sheet_would_have_said(told):
    for each in told:
        said = suggestion(nearest(each, told))
        assert predictions(told).get(each.number) == (said.fault if said else None)
