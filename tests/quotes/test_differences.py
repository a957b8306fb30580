"""What a second revision says is different, in words the customer can read."""

from dataclasses import replace
from decimal import Decimal as D

from quotes.differences import Entry, differences
from quotes.pricing import DocumentItem, LineInput, Policy, price

POLICY = Policy("USD", D(0), D(0), {"part": D(8)}, D(0), D(0))
WORK = LineInput("labour", "Socket", unit_price=D("90.00"), ref="remedy:1")
PART = LineInput("part", "Chip", unit_price=D("30.00"), ref="part:7")


def told(old, new, **more):
    return [
        (one.kind, one.text, str(one.change), one.was, one.now)
        for one in differences(price(old, POLICY), price(new, POLICY), **more)
    ]


def test_added_gone_changed_and_same():
    extra = LineInput("part", "Light driver", unit_price=D("20.00"))
    assert told([WORK, PART], [replace(WORK, unit_price=D("95.00")), extra]) == [
        ("changed", "Socket", "5.00", "", ""),
        ("added", "Light driver", "20.00", "", ""),
        ("changed", "Tax 8 %", "-0.80", "", ""),
        ("gone", "Chip", "-30.00", "", ""),
    ]
    assert told([WORK], [WORK]) == [("same", "Socket", "0.00", "", "")]


def test_before_and_after_stand_beside_the_change():
    found = differences(price([WORK], POLICY), price([PART], POLICY))
    assert [(one.before, one.after) for one in found] == [
        (None, D("30.00")), (None, D("2.40")), (D("90.00"), None),
    ]  # fmt: skip


def test_the_same_amount_made_differently_is_a_change_of_words():
    two = replace(PART, quantity=D(2), unit_price=D("15.00"))
    found = told([PART], [two])
    assert found[0] == ("changed", "Chip", "0.00", "Chip", "Chip 2 x 15")


def test_a_new_name_for_the_same_part_is_no_new_line():
    assert told([PART], [replace(PART, text="Charge chip")])[0] == (
        "changed", "Charge chip", "0.00", "Chip", "Charge chip",
    )  # fmt: skip


def test_a_line_without_its_mark_is_found_by_its_text():
    assert told([PART], [replace(PART, ref="", unit_price=D("31.00"))])[0][:3] == ("changed", "Chip", "1.00")


def test_of_two_equal_lines_one_gone_is_one_gone():
    assert [one[0] for one in told([PART, PART], [PART])] == ["same", "changed", "gone"]


def test_the_surest_pair_is_made_first():
    """Two lines of one part: the one whose price did not change keeps its partner, in whatever order."""
    dear = replace(PART, unit_price=D("35.00"))
    found = told([dear, PART], [PART, replace(dear, unit_price=D("36.00"))])
    assert [one[:3] for one in found[:2]] == [("same", "Chip", "0.00"), ("changed", "Chip", "1.00")]


def test_with_the_tax_inside_no_tax_stands_apart():
    inside = replace(POLICY, tax_inclusive=True)
    before, after = price([PART], inside), price([PART, WORK], inside)
    found = differences(before, after, inclusive=True)
    assert [(one.kind, one.change) for one in found] == [("same", 0), ("added", 90)]
    assert sum(one.change for one in found) == after.total - before.total


def test_reductions_and_additions_count_with_their_sign():
    before = price([PART], POLICY, allowances=[DocumentItem("Trade", D(3))])
    after = price(
        [PART], POLICY, allowances=[DocumentItem("Trade", D(5))], charges=[DocumentItem("Box", D(2))]
    )
    found = [(one.text, one.change) for one in differences(before, after)]
    assert found == [("Chip", 0), ("Trade", -2), ("Box", 2), ("Tax 8 %", 0)]


def test_entries_kept_from_an_older_document_can_be_compared():
    old = [Entry("line", "labour socket", "Socket", D(80)), Entry("tax", "S 8", "Tax 8 %", D(1))]
    found = differences(old, price([replace(WORK, ref="")], POLICY))
    assert sum(one.change for one in found) == 90 - 81
    assert [one.kind for one in found] == ["changed", "gone"]
