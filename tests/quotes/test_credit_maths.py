"""Parts of an invoice credited one after the other: together they are the whole, to the cent, net and tax."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.money import quantize
from quotes.credit_maths import CreditError, Group, Invoiced, part_of

D = Decimal


def line(number, quantity, price, *, percent="8", allowance="0", net=None):
    quantity, price, allowance = D(quantity), D(price), D(allowance)
    made = quantize(quantity * price, "USD") - allowance if net is None else D(net)
    return Invoiced(
        number,
        f"line {number}",
        quantity,
        price,
        D(1),
        allowance,
        D(0),
        made,
        "S" if D(percent) else "Z",
        D(percent),
    )


def groups(lines):
    found = {}
    for one in lines:
        found.setdefault((one.category, one.percent), D(0))
        found[one.category, one.percent] += one.net
    return [
        Group(category, percent, base, quantize(base * percent / 100, "USD"))
        for (category, percent), base in found.items()
    ]


def part(lines, now, before=None):
    return part_of(lines, groups(lines), before=before or {}, now=now, currency="USD")


def test_one_of_three_takes_a_third_and_the_last_brings_the_odd_cent():
    lines = [line(1, 3, "33.33", net="100.00")]
    first = part(lines, {1: D(1)})
    second = part(lines, {1: D(1)}, {1: D(1)})
    last = part(lines, {1: D(1)}, {1: D(2)})
    assert [one.net for one in (first, second, last)] == [D("33.33"), D("33.34"), D("33.33")]
    assert [one.last for one in (first, second, last)] == [False, False, True]
    assert first.tax + second.tax + last.tax == D("8.00")


def test_odd_cent_is_said_so_that_quantity_times_price_still_makes_the_net():
    lines = [line(1, 3, "0.335")]
    assert lines[0].net == D("1.01")
    for before in (0, 1, 2):
        made = part(lines, {1: D(1)}, {1: D(before)}).lines[0]
        assert quantize(D("0.335"), "USD") - made.allowance + made.charge == made.net


def test_whole_at_once_is_the_invoice():
    lines = [line(1, 2, "48.00", percent="0"), line(2, 1, "4.00", allowance="1.00")]
    made = part(lines, {1: D(2), 2: D(1)})
    assert (made.net, made.tax, made.last) == (D("99.00"), D("0.24"), True)
    assert [one.allowance for one in made.lines] == [D(0), D("1.00")]


@pytest.mark.parametrize(
    ("now", "said"),
    [
        ({1: D("2.001")}, "Line 1, line 1: only 2 of 2 can still be credited."),
        ({9: D(1)}, "There is no line 9"),
        ({1: D(-1)}, "below nought"),
        ({}, "at least one line"),
        ({1: D(0)}, "at least one line"),
    ],
)
def test_what_cannot_be_credited_is_said(now, said):
    with pytest.raises(CreditError, match=said.replace(".", r"\.")):
        part([line(1, 2, "48.00")], now)


def test_line_without_its_reduction_is_refused_above_the_group():
    lines = [line(1, 1, "100.00"), line(2, 1, "-20.00")]
    with pytest.raises(CreditError, match="more than was invoiced"):
        part(lines, {1: D(1)})
    with pytest.raises(CreditError, match="more than was invoiced"):
        part(lines, {2: D(1)})
    assert part(lines, {1: D(1), 2: D(1)}).net == D("80.00")


def test_reduction_of_another_group_alone_is_refused():
    lines = [line(1, 1, "100.00"), line(2, 1, "-20.00", percent="0")]
    with pytest.raises(CreditError, match="together with the lines"):
        part(lines, {2: D(1)})


def test_line_without_its_reduction_of_another_group_is_refused_above_the_whole():
    lines = [line(1, 1, "100.00"), line(2, 1, "-20.00", percent="0")]
    with pytest.raises(CreditError, match="more than was invoiced"):
        part(lines, {1: D(1)})
    assert part(lines, {1: D("0.5")}).net == D("50.00")
    assert part(lines, {1: D("0.5"), 2: D(1)}, {1: D("0.5")}).last


PRICES = st.decimals(min_value="0.001", max_value="500", places=3, allow_nan=False)


@settings(max_examples=200, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(1, 7), PRICES, st.sampled_from(["0", "8", "19", "7.25"])),
        min_size=1,
        max_size=5,
    ),
    st.randoms(use_true_random=False),
)
def test_parts_in_any_order_add_up_to_the_whole(rows, dice):
    lines = [
        line(n, quantity, price, percent=percent) for n, (quantity, price, percent) in enumerate(rows, 1)
    ]
    whole = groups(lines)
    singles = [one.number for one in lines for _ in range(int(one.quantity))]
    dice.shuffle(singles)
    before, made = {}, []
    for number in singles:
        made.append(part(lines, {number: D(1)}, before))
        before = {**before, number: before.get(number, D(0)) + 1}
    assert [one.last for one in made] == [False] * (len(made) - 1) + [True]
    assert all(one.net >= 0 and one.tax >= 0 for one in made)
    assert sum(one.net for one in made) == sum(one.net for one in lines)
    assert sum(one.tax for one in made) == sum(one.tax for one in whole)
    for group in whole:
        own = [
            g
            for one in made
            for g in one.groups
            if (g.category, g.percent) == (group.category, group.percent)
        ]
        assert (sum(g.base for g in own), sum(g.tax for g in own)) == (group.base, group.tax)
    with pytest.raises(CreditError):
        part(lines, {singles[0]: D("0.001")}, before)
