"""Allowances and charges on line and document, trade tiers, smallest prices, and the tax category of each line."""

from dataclasses import replace
from decimal import Decimal as D

import pytest

from quotes.pricing import DocumentItem, LineInput, Policy, PricingError, choices, price
from quotes.tax_profiles import california, united_kingdom

POLICY = Policy(
    currency="USD",
    rate_per_minute=D("1.60"),
    cost_per_minute=D("0.70"),
    tax_rates={"part": D(8)},
    return_post_price=D("12.00"),
    return_post_cost=D("9.40"),
    markup_bands=[(None, D(3))],
)
WORK = LineInput("labour", "Work", unit_price=D("90.00"))
PART = LineInput("part", "Chip", unit_price=D("30.00"))


def one(line, **changes):
    return price([line], replace(POLICY, **changes)).lines[0]


def test_allowance_and_charge_of_a_line_are_rounded_apart():
    line = one(replace(PART, quantity=D(3), allowance=D("0.005"), charge=D("0.014")))
    assert (line.net, line.allowance, line.charge) == (D("90.00"), D("0.01"), D("0.01"))
    assert line.why == "Price as set: 30.00. 3 x 30.00 = 90.00. 90.00 - 0.01 + 0.01 = 90.00. Tax 8 %: 7.20."


def test_an_allowance_above_the_line_is_refused_except_on_a_fee():
    with pytest.raises(PricingError, match="Chip: the allowance is more"):
        one(replace(PART, allowance=D("30.01")))
    assert one(LineInput("fee", "Fee", unit_price=D(5), allowance=D(6))).net == -1
    with pytest.raises(PricingError, match="cannot be below nought"):
        one(replace(PART, charge=D(-1)))


@pytest.mark.parametrize(
    ("line", "net", "words"),
    [
        (LineInput("labour", "Work", minutes=60), "81.60", "Trade tier: 96.00 x 0.85 = 81.60."),
        (LineInput("labour", "Work", unit_price=D(80), listed=True), "68.00", "Price by the list: 80.00."),
        (LineInput("labour", "Work", unit_price=D(80)), "80.00", "Price as set: 80.00."),
        (LineInput("part", "Chip", unit_cost=D(10)), "27.00", "Trade tier: 30.00 x 0.9 = 27.00."),
        (LineInput("media", "Stick", unit_cost=D(10)), "27.00", "Trade tier: 30.00 x 0.9 = 27.00."),
        (LineInput("rush", "Rush", unit_price=D(35), listed=True), "35.00", "Price by the list: 35.00."),
        (LineInput("post", "Post"), "12.00", "Return post by the rates: 12.00."),
    ],
)
def test_a_trade_tier_lowers_what_is_listed_or_made_by_rule_and_says_so(line, net, words):
    found = one(line, labour_factor=D("0.85"), parts_factor=D("0.9"))
    assert found.net == D(net)
    assert words in found.why


def test_a_list_price_finer_than_the_cent_stays_fine_under_a_tier():
    line = one(LineInput("part", "Filter", D(1000), D("0.0088"), listed=True), parts_factor=D("0.5"))
    assert (line.unit_price, line.net) == (D("0.0044"), D("4.40"))


def test_a_price_under_a_tier_is_no_finer_than_a_quote_keeps_it():
    line = one(LineInput("part", "Filter", D(900), D("0.0125"), listed=True), parts_factor=D("0.85"))
    assert (line.unit_price, line.net) == (D("0.0106"), D("9.54"))


@pytest.mark.parametrize(
    ("line", "net"),
    [
        (LineInput("part", "Chip", unit_cost=D(1), minimum_price=D(5)), "5.00"),
        (LineInput("part", "Chip", unit_cost=D(2), minimum_price=D(5)), "6.00"),
        (LineInput("part", "Chip", D(2), unit_cost=D(1), minimum_price=D(5)), "10.00"),
        (LineInput("part", "Chip", unit_price=D(3), minimum_price=D(5)), "3.00"),
        (LineInput("part", "Chip", unit_price=D(3), listed=True, minimum_price=D(5)), "5.00"),
    ],
)
def test_a_price_not_set_by_hand_is_never_below_its_smallest(line, net):
    assert one(line).net == D(net)


def test_the_smallest_price_comes_after_the_tier_and_before_the_ending():
    line = LineInput("part", "Chip", unit_cost=D(2), minimum_price=D("5.20"))
    found = one(line, parts_factor=D("0.5"), price_ending=D("0.90"))
    assert found.why == (
        "Cost 2.00 x 3 = 6.00. Trade tier: 6.00 x 0.5 = 3.00. Raised to the smallest price: 5.20. "
        "Raised to end in 0.90: 5.90. Tax 8 %: 0.47."
    )


def test_a_share_of_the_lines_is_spread_over_their_tax():
    """A tenth off 120.00: 9.00 from what is untaxed, 3.00 from what is taxed at 8 %."""
    sums = price([WORK, PART], POLICY, allowances=[DocumentItem("Trade", percent=D(10))])
    assert [(item.net, item.rate, item.tax) for item in sums.allowances] == [
        (D("9.00"), 0, 0),
        (D("3.00"), 8, D("0.24")),
    ]
    assert (sums.line_sum, sums.allowance_sum, sums.net, sums.tax) == (120, 12, 108, D("2.16"))
    assert sums.allowances[1].why == (
        "10 % of 120.00 = 12.00. Of it 3.00 on what is taxed at 8 % (S). Tax 8 %: 0.24."
    )


def test_spreading_loses_no_cent():
    lines = [
        LineInput("fee", "line", unit_price=D("33.33"), tax_percent=D(rate)) for rate in ("0", "8", "20")
    ]
    sums = price(lines, POLICY, charges=[DocumentItem("Rush", D("0.02"))])
    assert sums.charge_sum == D("0.02") == sum(item.net for item in sums.charges)
    assert len(sums.charges) == 2


def test_nothing_is_spread_over_what_is_below_nought():
    lines = [PART, LineInput("fee", "Goodwill", unit_price=D(-20))]
    sums = price(lines, POLICY, allowances=[DocumentItem("Trade", D(5))])
    assert [(item.net, item.rate) for item in sums.allowances] == [(5, 8)]


def test_one_tax_keeps_percent_and_base_of_the_allowance():
    sums = price([PART], POLICY, allowances=[DocumentItem("Trade", percent=D("2.5"))])
    item = sums.allowances[0]
    assert (item.net, item.percent, item.base, item.tax_category) == (D("0.75"), D("2.5"), 30, "S")


def test_an_allowance_may_name_its_tax_kind():
    item = DocumentItem("Goodwill", D(10), tax_kind="part")
    assert price([WORK], POLICY, allowances=[item]).tax == D("-0.80")


@pytest.mark.parametrize(
    ("item", "words"),
    [
        (DocumentItem("Less"), "an amount or a percent"),
        (DocumentItem("Less", D(1), D(1)), "an amount or a percent"),
        (DocumentItem("Less", D(-1)), "nought or more"),
        (DocumentItem("Less", D("NaN")), "nought or more"),
        (DocumentItem("Less", D(1), tax_category="X"), "no tax category"),
        (DocumentItem("Less", D(1), tax_kind="gift"), "knows no kind"),
        (DocumentItem("Less", D(1), tax_category="E", tax_percent=D(5)), "has no rate"),
    ],
)
def test_an_allowance_that_cannot_be_says_why(item, words):
    for place in ("allowances", "charges"):
        with pytest.raises(PricingError, match=words):
            price([WORK], POLICY, **{place: [item]})


def test_a_share_of_less_than_nought_is_refused():
    with pytest.raises(PricingError, match="less than nought"):
        price([LineInput("fee", "Less", unit_price=D(-5))], POLICY, charges=[DocumentItem("x", percent=D(1))])


@pytest.mark.parametrize(
    ("more", "found"),
    [
        ({}, ("S", 8)),
        ({"tax_percent": D(0)}, ("Z", 0)),
        ({"tax_percent": D(5)}, ("S", 5)),
        ({"tax_category": "E"}, ("E", 0)),
        ({"tax_category": "L"}, ("L", 8)),
        ({"tax_category": "M", "tax_percent": D(3)}, ("M", 3)),
        ({"tax_kind": "labour"}, ("S", 8)),
        ({"tax_kind": "diagnosis"}, ("S", 8)),
    ],
)
def test_the_lines_own_tax_wins(more, found):
    line = one(replace(PART, **more))
    assert (line.tax_category, line.rate) == found


def test_a_tax_kind_with_a_rate_of_its_own_wins_over_the_kind():
    rates = {"fee": D(8), "diagnosis": D(0)}
    fee = LineInput("fee", "Diagnosis", unit_price=D(30), tax_kind="diagnosis")
    assert one(fee, tax_rates=rates).rate == 0
    assert one(replace(fee, tax_kind=""), tax_rates=rates).rate == 8


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"tax_category": "Q"}, "no tax category"),
        ({"tax_kind": "gift"}, "knows no kind"),
        ({"tax_category": "Z", "tax_percent": D(5)}, "Z has no rate"),
        ({"tax_category": "S", "tax_percent": D(0)}, "needs a rate"),
    ],
)
def test_a_tax_that_contradicts_itself_is_refused(more, words):
    with pytest.raises(PricingError, match=words):
        one(replace(PART, **more))


def test_groups_are_by_category_and_rate_with_their_reasons():
    lines = [
        replace(WORK, tax_category="E"),
        replace(WORK, tax_category="E", tax_reason="A gift of the house."),
        replace(WORK, tax_percent=D(0)),
        PART,
        replace(PART, tax_category="L"),
    ]
    groups = price(lines, POLICY).tax_groups
    assert [(one.category, one.rate, one.base) for one in groups] == [
        ("E", 0, 180), ("Z", 0, 90), ("L", 8, 30), ("S", 8, 30),
    ]  # fmt: skip
    assert [one.reason for one in groups] == ["A gift of the house. Exempt from tax.", "", "", ""]


def test_a_place_or_customer_that_is_none_is_refused_as_a_sentence():
    with pytest.raises(PricingError, match="written like GB"):
        one(PART, tax_profile=california(), place="California")
    with pytest.raises(PricingError, match="no customer called"):
        one(PART, tax_profile=california(), customer="friend")


def test_choices_keep_the_tax_that_the_quote_found():
    policy = replace(POLICY, tax_profile=united_kingdom(), place="FR", declined_fee=D(20))
    sums = price([WORK, replace(PART, still_charged=True), LineInput("post", "Return post")], policy)
    found = choices(sums, policy)
    assert sums.tax == found.back.tax == found.no_fix.tax == 0
    home = replace(policy, place="GB")
    assert choices(price([WORK], home), home).back.tax == D("6.40")


def test_choices_name_the_allowances():
    sums = price([WORK], POLICY, allowances=[DocumentItem("Trade discount", D(5))])
    found = choices(sums, POLICY)
    assert (found.mend.total, found.mend.why) == (85, "Work; Trade discount.")


def test_coins_round_what_is_payable_and_leave_the_total():
    sums = price([PART], replace(POLICY, cash_step=D("0.05"), currency="CHF"))
    assert (sums.total, sums.rounding, sums.payable) == (D("32.40"), 0, D("32.40"))
    sums = price([replace(PART, unit_price=D("30.02"))], replace(POLICY, cash_step=D("0.05")))
    assert (sums.total, sums.rounding, sums.payable) == (D("32.42"), D("-0.02"), D("32.40"))
