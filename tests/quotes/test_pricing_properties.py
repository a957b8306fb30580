"""What holds for every document: sums add up, order does not matter, revisions differ by their totals, nothing is a float."""

from dataclasses import fields, is_dataclass, replace
from decimal import Decimal as D

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.differences import differences
from quotes.explaining import explain
from quotes.pricing import DocumentItem, LineInput, Policy, choices, price
from quotes.tax_profiles import california, new_york, texas, united_kingdom

BASE = Policy(
    currency="USD",
    rate_per_minute=D("1.60"),
    cost_per_minute=D("0.70"),
    tax_rates={"part": D(8), "labour": D("7.7"), "diagnosis": D(5)},
    return_post_price=D("12.00"),
    return_post_cost=D("9.40"),
    markup_bands=[(D("20.00"), D(3)), (None, D("1.5"))],
)
AMOUNTS = st.decimals(0, 9999, places=3)
RATES = st.sampled_from([None, None, D("7.7"), D(19), D(25)])

LINES = st.lists(
    st.builds(
        LineInput,
        kind=st.sampled_from(["labour", "part", "post", "rush", "media", "fee"]),
        text=st.sampled_from(["one", "two", "three"]),
        quantity=st.decimals("0.01", 99, places=2),
        unit_price=AMOUNTS,
        unit_cost=st.decimals(0, 999, places=4),
        minutes=st.integers(0, 500),
        per=st.sampled_from([D(1), D(1), D(12)]),
        tax_percent=RATES,
        charge=st.sampled_from([D(0), D("1.005"), D(3)]),
        listed=st.booleans(),
        minimum_price=st.sampled_from([None, D("20.00")]),
        tax_kind=st.sampled_from(["", "diagnosis"]),
        ref=st.sampled_from(["", "part:1", "part:2"]),
    ),
    max_size=6,
)
ITEMS = st.lists(
    st.one_of(
        st.builds(DocumentItem, text=st.just("item"), amount=AMOUNTS, tax_percent=RATES),
        st.builds(DocumentItem, text=st.just("share"), percent=st.decimals(0, 100, places=2)),
    ),
    max_size=2,
)
POLICIES = st.builds(
    replace,
    st.just(BASE),
    currency=st.sampled_from(["USD", "JPY", "KWD"]),
    tax_inclusive=st.booleans(),
    rounding=st.sampled_from(["document", "line"]),
    minimum_charge=st.decimals(0, 100, places=0),
    labour_factor=st.sampled_from([D(1), D("0.85")]),
    parts_factor=st.sampled_from([D(1), D("0.9")]),
    tax_profile=st.sampled_from([None, california(), new_york(), texas(), united_kingdom()]),
    place=st.sampled_from(["", "US-CA", "US-NY", "GB", "FR"]),
    customer=st.sampled_from(["consumer", "trade", "certificate"]),
    parts_apart=st.booleans(),
    cash_step=st.sampled_from([None, D(1)]),
)


@settings(deadline=None)
@given(LINES, POLICIES, ITEMS, ITEMS)
def test_every_sum_adds_up(lines, policy, less, more):
    sums = price(lines, policy, allowances=less, charges=more)
    assert sums.line_sum == sum(line.net for line in sums.lines)
    assert sums.allowance_sum == sum(item.net for item in sums.allowances)
    assert sums.charge_sum == sum(item.net for item in sums.charges)
    assert sums.net == sums.line_sum - sums.allowance_sum + sums.charge_sum
    assert sums.net == sum(group.base for group in sums.tax_groups)
    assert sums.tax == sum(group.tax for group in sums.tax_groups)
    assert sums.total == sums.net + sums.tax == sums.payable - sums.rounding
    for group in sums.tax_groups:
        for amount in ("net", "tax"):
            own = sum(
                sign * getattr(item, amount)
                for items, sign in ((sums.lines, 1), (sums.allowances, -1), (sums.charges, 1))
                for item in items
                if (item.rate, item.tax_category) == (group.rate, group.category)
            )
            assert own == (group.base if amount == "net" else group.tax)
    for item in (*sums.lines, *sums.allowances, *sums.charges):
        assert item.gross == item.net + item.tax


@settings(deadline=None)
@given(LINES, POLICIES, ITEMS, ITEMS)
def test_each_line_comes_to_quantity_times_price(lines, policy, less, more):
    sums = price(lines, policy, allowances=less, charges=more)
    for line in sums.lines:
        given_as = line.gross if policy.tax_inclusive else line.net
        exact = line.quantity * line.unit_price / line.per - line.allowance + line.charge
        assert abs(given_as - exact) <= D("0.5").scaleb({"USD": -2, "JPY": 0, "KWD": -3}[policy.currency])


@settings(deadline=None)
@given(LINES, POLICIES, ITEMS, ITEMS, st.randoms(use_true_random=False))
def test_order_of_lines_is_irrelevant(lines, policy, less, more, rng):
    first = price(lines, policy, allowances=less, charges=more)
    shuffled = list(lines)
    rng.shuffle(shuffled)
    second = price(shuffled, policy, allowances=less, charges=more)
    for field in fields(first):
        if field.name != "lines":
            assert getattr(first, field.name) == getattr(second, field.name), field.name
    assert sorted(map(repr, _without_tax_share(first))) == sorted(map(repr, _without_tax_share(second)))


def _without_tax_share(priced):
    """Lines of the same amount may swap the cents that are shared among them, and nothing else."""
    return [(line.kind, line.text, line.quantity, line.unit_price, line.cost) for line in priced.lines]


@settings(deadline=None)
@given(LINES, LINES, POLICIES, ITEMS, ITEMS, st.booleans())
def test_changes_add_up_to_the_difference_of_the_totals(old, new, policy, less, more, inclusive):
    before = price(old, policy, allowances=less)
    after = price(new, policy, allowances=more, charges=less)
    found = differences(before, after, inclusive=inclusive)
    assert sum(one.change for one in found) == after.total - before.total
    assert all(one.change == (one.after or 0) - (one.before or 0) for one in found)


@settings(deadline=None)
@given(LINES, POLICIES, ITEMS, ITEMS)
def test_a_document_does_not_differ_from_itself(lines, policy, less, more):
    sums = price(lines, policy, allowances=less, charges=more)
    assert {one.kind for one in differences(sums, sums)} <= {"same"}
    assert {
        one.kind for one in differences(sums, price(lines[::-1], policy, allowances=less, charges=more))
    } <= {
        "same",
        "changed",
    }


def numbers(value):
    """Every value inside, however deep."""
    if is_dataclass(value):
        for field in fields(value):
            yield from numbers(getattr(value, field.name))
    elif isinstance(value, dict):
        for one in (*value.keys(), *value.values()):
            yield from numbers(one)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from numbers(one)
    else:
        yield value


@settings(deadline=None)
@given(LINES, POLICIES, ITEMS, ITEMS)
def test_nothing_anywhere_is_a_float(lines, policy, less, more):
    sums = price(lines, policy, allowances=less, charges=more)
    for value in numbers([sums, choices(sums, policy), explain(sums, policy), differences(sums, sums)]):
        assert value is None or isinstance(value, D | str | bool | int), value
        assert not isinstance(value, float)


FLOATS = [
    ("quantity", 1.0), ("unit_price", 1.5), ("unit_cost", 1.5), ("minutes", 3.5), ("per", 1.0), ("tax_percent", 8.5),
    ("allowance", 0.5), ("charge", 0.5), ("minimum_price", 1.5),
]  # fmt: skip


@pytest.mark.parametrize(("name", "value"), FLOATS)
def test_a_float_on_a_line_is_refused(name, value):
    with pytest.raises(TypeError):
        price([replace(LineInput("part", "Part", unit_price=D(1)), **{name: value})], BASE)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("rate_per_minute", 1.5),
        ("cost_per_minute", 1.5),
        ("return_post_price", 1.5),
        ("return_post_cost", 1.5),
        ("price_ending", 0.9),
        ("minimum_charge", 1.5),
        ("declined_fee", 1.5),
        ("labour_factor", 0.9),
        ("parts_factor", 0.9),
        ("cash_step", 0.05),
        ("tax_rates", {"part": 8.25}),
        ("markup_bands", [(None, 1.5)]),
        ("markup_bands", [(20.0, D(2))]),
    ],
)
def test_a_float_in_the_policy_is_refused(name, value):
    with pytest.raises(TypeError):
        price([LineInput("part", "Part", unit_price=D(1))], replace(BASE, **{name: value}))


@pytest.mark.parametrize("name", ["amount", "percent", "base", "tax_percent"])
def test_a_float_on_an_allowance_is_refused(name):
    item = replace(DocumentItem("Less", percent=D(1) if name == "base" else None), **{name: 1.5})
    with pytest.raises(TypeError):
        price([LineInput("part", "Part", unit_price=D(1))], BASE, allowances=[item])
