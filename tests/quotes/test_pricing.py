"""Pricing: rules said in words, totals that add up, no float anywhere."""

from dataclasses import replace
from decimal import Decimal as D

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.pricing import LineInput, Policy, PricingError, choices, price

POLICY = Policy(
    currency="USD",
    rate_per_minute=D("1.60"),
    cost_per_minute=D("0.70"),
    tax_rates={"part": D(8)},
    return_post_price=D("12.00"),
    return_post_cost=D("9.40"),
    markup_bands=[(D("1.00"), D(10)), (D("20.00"), D(3)), (None, D("1.5"))],
)
POST = LineInput("post", "Return post")


def one(line, **changes):
    return price([line], replace(POLICY, **changes)).lines[0]


def test_the_invented_order_of_the_demo_to_the_cent():
    """Q-1001 of the demo world: 96.00 + 4.00 + 0.32 tax + 12.00 = 112.32."""
    sums = price(
        [
            LineInput("labour", "Bias line mended", unit_price=D("96.00"), minutes=75),
            LineInput("part", "Jumper wire", unit_price=D("4.00"), unit_cost=D("0.09")),
            POST,
        ],
        POLICY,
    )
    assert (sums.net, sums.tax, sums.total) == (D("112.00"), D("0.32"), D("112.32"))
    assert sums.shop_cost == D("0.09") + D("9.40") + D("52.50")
    assert sums.margin == D("112.00") - sums.shop_cost
    assert sums.cash_margin == D("102.51")
    assert sums.minutes == 75


def test_labour_by_minutes_and_rate_says_so():
    line = one(LineInput("labour", "Socket", minutes=60))
    assert line.net == D("96.00")
    assert line.why == "60 minutes x 1.60 = 96.00. No tax."


def test_a_flat_price_wins_over_minutes_and_minutes_still_cost():
    line = one(LineInput("labour", "Socket", unit_price=D("80"), minutes=60))
    assert (line.net, line.cost, line.minutes) == (80, 42, 60)


@pytest.mark.parametrize(
    ("cost", "net"), [("0.05", "0.50"), ("1.00", "10.00"), ("1.01", "3.03"), ("100", "150.00")]
)
def test_a_part_is_priced_by_its_cost_band(cost, net):
    line = one(LineInput("part", "Part", unit_cost=D(cost)))
    assert line.net == D(net)
    assert line.why.startswith(f"Cost {cost}")


def test_a_part_beyond_every_band_is_refused():
    with pytest.raises(PricingError, match="no markup band"):
        one(LineInput("part", "Big", unit_cost=D(21)), markup_bands=[(D(20), D(3))])


@pytest.mark.parametrize(
    ("ending", "net"),
    [("0.90", "3.90"), ("0.03", "3.03"), ("0", "4.00"), ("5", "5.00"), ("9.50", "9.50"), ("0.02", "4.02")],
)
def test_a_price_made_by_rule_is_raised_to_its_ending(ending, net):
    line = one(LineInput("part", "Part", unit_cost=D("1.01")), price_ending=D(ending))
    assert line.net == D(net)
    assert one(LineInput("part", "Part", unit_price=D("3.03")), price_ending=D(ending)).net == D("3.03")


def test_quantity_and_tax_are_explained():
    line = one(LineInput("part", "Filter", D(3), D("1.235")))
    assert line.net == D("3.71")
    assert line.why == "Price as set: 1.235. 3 x 1.235 = 3.71. Tax 8 %: 0.30."


def test_noughts_that_the_database_adds_are_not_shown():
    line = one(
        LineInput("part", "Filter", D("3.000"), D("1.250"), D("0.0900")), tax_rates={"part": D("8.000")}
    )
    assert line.why == "Price as set: 1.25. 3 x 1.25 = 3.75. Tax 8 %: 0.30."
    line = one(LineInput("labour", "Work", minutes=60), rate_per_minute=D("1.6000"))
    assert line.why == "60 minutes x 1.60 = 96.00. No tax."


def test_the_smallest_charge_is_made_up_for_work_but_not_for_post():
    sums = price(
        [LineInput("labour", "Clean", unit_price=D(10)), POST], replace(POLICY, minimum_charge=D(25))
    )
    assert [line.net for line in sums.lines] == [10, 12, 15]
    assert price([POST], replace(POLICY, minimum_charge=D(25))).total == 12


def test_prices_with_the_tax_in_them():
    """119.00 with 19 % within: 100.00 and 19.00."""
    line = one(
        LineInput("labour", "Work", unit_price=D("119")), tax_inclusive=True, tax_rates={"labour": D(19)}
    )
    assert (line.net, line.tax, line.gross) == (100, 19, 119)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (LineInput("labour", "Work"), "no price"),
        (LineInput("part", "Part"), "no price"),
        (LineInput("rush", "Rush"), "no price"),
        (LineInput("gift", "Gift", unit_price=D(1)), "no kind"),
        (LineInput("part", "Part", D(0), D(1)), "more than nought"),
        (LineInput("part", "Part", D(-1), D(1)), "more than nought"),
        (LineInput("part", "Part", unit_price=D(-1)), "below nought"),
        (LineInput("part", "Part", unit_price=D(1), unit_cost=D(-1)), "below nought"),
        (LineInput("labour", "Work", minutes=-5), "below nought"),
        (LineInput("part", "Part", unit_price=D("NaN")), "not a number"),
    ],
)
def test_a_line_that_cannot_be_priced_says_why(line, words):
    with pytest.raises(PricingError, match=words):
        price([line], POLICY)


def test_a_float_is_refused():
    with pytest.raises(TypeError):
        price([LineInput("part", "Part", unit_price=1.5)], POLICY)
    with pytest.raises(TypeError):
        price([LineInput("part", "Part", quantity=1.0, unit_price=D(1))], POLICY)


def test_a_tax_rate_below_nought_and_an_unknown_rounding_are_refused():
    with pytest.raises(ValueError, match="below nought"):
        one(LineInput("part", "Part", unit_price=D(1), tax_percent=D(-1)))
    with pytest.raises(ValueError, match="rounding"):
        one(LineInput("part", "Part", unit_price=D(1)), rounding="sometimes")


def test_choices_say_what_each_way_out_costs():
    sums = price(
        [
            LineInput("labour", "Work", unit_price=D(100)),
            LineInput("part", "Special chip", unit_price=D(50), still_charged=True),
            POST,
        ],
        POLICY,
    )
    found = choices(sums, POLICY)
    assert found.mend.total == D("166.00") == sums.total
    assert found.back.total == D("12.00")
    assert found.recycle.total == 0
    assert found.recycle.why == "Nothing to pay."
    assert found.no_fix.total == D("66.00")
    assert "Special chip" in found.no_fix.why


def test_choices_add_a_declined_fee_and_take_the_rates_post_where_the_quote_has_none():
    policy = replace(POLICY, declined_fee=D(20), minimum_charge=D(500))
    found = choices(price([LineInput("labour", "Work", unit_price=D(100))], policy), policy)
    assert (found.back.total, found.recycle.total, found.no_fix.total) == (32, 20, 12)


def test_choices_keep_the_quotes_own_post_with_tax_within():
    policy = replace(POLICY, tax_inclusive=True, tax_rates={"post": D(20)})
    found = choices(price([LineInput("post", "Post", D(2), D("9.00"))], policy), policy)
    assert (found.back.total, found.back.tax) == (D("18.00"), D("3.00"))


LINES = st.lists(
    st.builds(
        LineInput,
        kind=st.sampled_from(["labour", "part", "post", "rush", "media"]),
        text=st.just("line"),
        quantity=st.decimals("0.01", 999, places=2),
        unit_price=st.decimals(0, 9999, places=4),
        unit_cost=st.decimals(0, 999, places=4),
        minutes=st.integers(0, 500),
        tax_percent=st.sampled_from([None, D(0), D("7.7"), D(19), D(25)]),
    ),
    max_size=8,
)
POLICIES = st.builds(
    replace,
    st.just(POLICY),
    currency=st.sampled_from(["USD", "JPY", "KWD"]),
    tax_inclusive=st.booleans(),
    rounding=st.sampled_from(["document", "line"]),
    minimum_charge=st.decimals(0, 100, places=0),
)


@settings(deadline=None)
@given(LINES, POLICIES)
def test_totals_add_up(lines, policy):
    sums = price(lines, policy)
    assert sums.total == sums.net + sums.tax == sum(line.gross for line in sums.lines)
    assert sums.net == sum(group.base for group in sums.tax_groups) == sum(line.net for line in sums.lines)
    assert sums.tax == sum(group.tax for group in sums.tax_groups) == sum(line.tax for line in sums.lines)
    assert sums.margin == sums.net - sums.shop_cost
    for group in sums.tax_groups:
        own = [line for line in sums.lines if line.rate == group.rate]
        assert (sum(line.net for line in own), sum(line.tax for line in own)) == (group.base, group.tax)
    for line in sums.lines:
        assert line.gross == line.net + line.tax
        assert line.why


@settings(deadline=None)
@given(LINES, POLICIES, st.randoms(use_true_random=False))
def test_order_of_lines_does_not_matter(lines, policy, rng):
    first = price(lines, policy)
    shuffled = list(lines)
    rng.shuffle(shuffled)
    second = price(shuffled, policy)
    assert (first.net, first.tax, first.total, first.tax_groups, first.shop_cost) == (
        second.net, second.tax, second.total, second.tax_groups, second.shop_cost,
    )  # fmt: skip


@settings(deadline=None)
@given(LINES, POLICIES)
def test_a_line_keeps_within_a_cent_of_its_own_tax(lines, policy):
    cent = D(1).scaleb(-{"USD": 2, "JPY": 0, "KWD": 3}[policy.currency])
    for line in price(lines, policy).lines:
        amount = line.gross if policy.tax_inclusive else line.net
        exact = amount * line.rate / ((100 + line.rate) if policy.tax_inclusive else 100)
        assert abs(line.tax - exact) < cent * 2


@settings(deadline=None)
@given(LINES, POLICIES)
def test_every_amount_is_decimal(lines, policy):
    sums = price(lines, policy)
    values = [sums.net, sums.tax, sums.total, sums.minutes, sums.shop_cost, sums.margin, sums.cash_margin]
    for line in sums.lines:
        values += [line.net, line.tax, line.gross, line.cost, line.cash_cost, line.unit_price, line.minutes]
    assert all(isinstance(value, D) for value in values)
