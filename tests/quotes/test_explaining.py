"""Why this number: every amount of a document has a sentence, and the sentence works out."""

import re
from dataclasses import replace
from decimal import Decimal as D
from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.explaining import explain
from quotes.pricing import DocumentItem, LineInput, Policy, price
from quotes.tax_profiles import california

POLICY = Policy("USD", D("1.60"), D(0), {"part": D(25)}, D("12.00"), D(0), markup_bands=[(None, D(3))])
LINES = [LineInput("labour", "Work", minutes=60), LineInput("part", "Chip", unit_price=D("1460.50"))]


def steps(lines, policy, **more):
    return {step.what: (str(step.amount), step.why) for step in explain(price(lines, policy, **more), policy)}


def test_each_amount_in_its_sentence():
    assert steps(LINES, POLICY) == {
        "Work": ("96.00", "60 minutes x 1.60 = 96.00. No tax."),
        "Chip": ("1460.50", "Price as set: 1460.50. Tax 25 %: 365.13."),
        "Sum of the lines": ("1556.50", "96.00 + 1460.50 = 1556.50."),
        "Tax 0 %": ("0.00", "No tax on 96.00."),
        "Tax 25 %": ("365.13", "1460.50 x 25 / 100 = 365.125, rounded to 365.13."),
        "Total": ("1921.63", "1556.50 + 365.13 = 1921.63."),
        "To pay": ("1921.63", "The total, nothing rounded: 1921.63."),
    }


def test_allowances_charges_and_coins():
    told = steps(
        LINES,
        replace(POLICY, cash_step=D(1)),
        allowances=[DocumentItem("Trade", D(100), tax_percent=D(25))],
        charges=[DocumentItem("Box", D(10), tax_percent=D(0))],
    )
    assert told["Trade"] == ("-100.00", "Amount as set: 100.00. Tax 25 %: 25.00.")
    assert told["Sum before tax"] == ("1466.50", "1556.50 - 100.00 + 10.00 = 1466.50.")
    assert told["To pay"] == ("1807.00", "Paid in coins of 1: 1806.63 + 0.37 = 1807.00.")


def test_with_the_tax_inside():
    told = steps([LineInput("part", "Chip", unit_price=D("10.00"))], replace(POLICY, tax_inclusive=True))
    assert told["Chip"] == ("8.00", "Price as set: 10.00. Tax 25 % within: 2.00. Without it: 8.00.")
    assert told["Tax 25 %"] == ("2.00", "10.00 x 25 / 125 = 2.00.")
    told = steps(
        [LineInput("part", "Chip", unit_price=D("10.00"))],
        replace(POLICY, tax_inclusive=True, tax_rates={"part": D(19)}),
    )
    assert told["Tax 19 %"] == ("1.60", "10.00 x 19 / 119 = about 1.596638, rounded to 1.60.")


def test_line_by_line():
    lines = [LineInput("part", name, unit_price=D("1.24"), tax_percent=D(10)) for name in ("a", "b")]
    told = steps(lines, replace(POLICY, rounding="line"))
    assert told["Tax 10 %"] == (
        "0.24", "Each amount's tax is rounded by itself, then added: 0.12 + 0.12 = 0.24.",
    )  # fmt: skip


def test_a_profile_gives_its_reason():
    told = steps([LineInput("labour", "Work", minutes=60)], replace(POLICY, tax_profile=california()))
    assert told["Tax 0 %"] == ("0.00", "No tax on 96.00. Repair labour is not taxed in California.")
    assert told["Work"][1].endswith("No tax. Repair labour is not taxed in California.")


def test_nothing_at_all_is_explained_too():
    assert steps([], POLICY)["Total"] == ("0.00", "No tax is added: 0.00.")


AMOUNTS = st.decimals(-999, 9999, places=2)


@settings(deadline=None)
@given(
    st.lists(st.tuples(AMOUNTS, st.sampled_from([D(0), D("7.7"), D(19)])), max_size=5),
    st.booleans(),
    st.sampled_from(["document", "line"]),
    st.lists(st.decimals(0, 99, places=2), max_size=2),
)
def test_every_sum_in_a_sentence_works_out(pairs, inclusive, rounding, less):
    policy = replace(POLICY, tax_inclusive=inclusive, rounding=rounding, cash_step=D("0.05"))
    lines = [LineInput("fee", "line", unit_price=amount, tax_percent=rate) for amount, rate in pairs]
    items = [DocumentItem("less", amount, tax_percent=D(19)) for amount in less]
    for step in explain(price(lines, policy, allowances=items), policy):
        assert step.why.endswith(".")
        for left, right in re.findall(r"((?:-?[\d.]+ [-+x/] )+-?[\d.]+) = (-?[\d.]+\d)", step.why):
            assert worked_out(left) == F(right), step


def worked_out(text):
    """From left to right, as it is written: products stand alone in these sentences."""
    words = text.split()
    result = F(words[0])
    for sign, number in zip(words[1::2], words[2::2], strict=True):
        value = F(number)
        result = {"+": result + value, "-": result - value, "x": result * value}.get(sign) or (
            result / value if sign == "/" else F(0)
        )
    return result


@pytest.mark.parametrize(("text", "value"), [("1.5 + 2 - 0.5", 3), ("10 x 25 / 100", F(5, 2)), ("1 - 1", 0)])
def test_the_reader_of_this_test_reads(text, value):
    assert worked_out(text) == value
