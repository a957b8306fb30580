"""A bill is lowered to what was told, by lines that were not quoted with their tax, and by no more than it takes."""

from decimal import Decimal as D

from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.lowering import priced_within
from quotes.pricing import LineInput, Policy, price

POLICY = Policy(
    currency="USD",
    rate_per_minute=D("1.60"),
    cost_per_minute=D("0.70"),
    tax_rates={"fee": D(20), "post": D(20)},
    return_post_price=D(12),
    return_post_cost=D("9.40"),
)
FEE = LineInput("fee", "Diagnosis", unit_price=D(30))
POST = LineInput("post", "Return post", unit_price=D(12), tax_percent=D(0))


def test_lines_within_what_was_told_stay():
    assert priced_within([POST, FEE], POLICY, D(48)) == price([POST, FEE], POLICY)


def test_fee_bears_the_tax_that_was_not_told():
    made = priced_within([POST, FEE], POLICY, D(42))
    assert (made.total, [line.net for line in made.lines]) == (D("42.00"), [D("12.00"), D("25.00")])


def test_line_that_comes_to_nought_is_left_out():
    made = priced_within([POST, FEE], POLICY, D(12))
    assert [line.text for line in made.lines] == ["Return post"]


def test_what_was_quoted_is_never_lowered():
    assert priced_within([POST], POLICY, D(5)).total == D("12.00")


@settings(max_examples=150, deadline=None)
@given(
    st.decimals("0.01", "300", places=2),
    st.decimals("0.01", "90", places=2),
    st.decimals("0.00", "400", places=2),
    st.sampled_from(["7.25", "19", "20", "33.333"]),
    st.booleans(),
)
def test_never_above_what_was_told_and_at_most_two_cents_below(fee, post, most, percent, inclusive):
    policy = Policy(
        **{**vars(POLICY), "tax_rates": {"fee": D(percent), "post": D(percent)}, "tax_inclusive": inclusive}
    )
    lines = [LineInput("post", "Post", unit_price=post), LineInput("fee", "Fee", unit_price=fee)]
    whole, made = price(lines, policy).total, priced_within(lines, policy, most).total
    assert made <= most
    assert made >= min(whole, most) - D("0.02")
