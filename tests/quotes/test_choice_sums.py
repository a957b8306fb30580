"""Each choice is priced by itself, with every set of its extras to the cent."""

from decimal import Decimal
from itertools import chain, combinations

import pytest

from quotes.choice_sums import Wanted, key_of, sums_of
from quotes.pricing import LineInput, Policy, price

POLICY = Policy(
    currency="USD",
    rate_per_minute=Decimal("1.60"),
    cost_per_minute=Decimal("0.70"),
    tax_rates={"part": Decimal("8.25"), "labour": Decimal("8.25")},
    return_post_price=Decimal(12),
    return_post_cost=Decimal("9.40"),
)


def line(kind, price_, text="x", **other):
    return LineInput(kind, text, unit_price=Decimal(price_), **other)


MEND = [
    Wanted(line("labour", "96.05"), number=1),
    Wanted(line("part", "4.03"), number=2),
    Wanted(line("part", "19.97", "Protector"), extra="e1", number=3),
    Wanted(line("part", "7.77", "Cable"), extra="e2", number=4),
    Wanted(line("post", "12.00"), number=5),
]


def test_every_set_of_extras_has_the_total_of_its_own_document():
    sums = sums_of(MEND, POLICY, choice="mend")
    keys = ["e1", "e2"]
    for some in chain.from_iterable(combinations(keys, size) for size in range(3)):
        lines = [row.line for row in MEND if not row.extra or row.extra in some]
        assert sums.totals[key_of(some)] == price(lines, POLICY).total
    assert set(sums.totals) == {"", "e1", "e2", "e1,e2"}
    assert sums.priced.total == sums.totals[""]


@pytest.mark.parametrize("inclusive", [False, True])
def test_lines_name_their_extra_and_their_place_in_the_draft(inclusive):
    policy = Policy(**{**POLICY.__dict__, "tax_inclusive": inclusive})
    sums = sums_of(MEND, policy, choice="mend")
    assert [(row.number, row.extra) for row in sums.lines] == [
        (1, ""), (2, ""), (5, ""), (3, "e1"), (4, "e2"),
    ]  # fmt: skip


def test_return_post_is_in_each_choice_unless_it_has_its_own():
    wanted = [*MEND, Wanted(line("labour", "60"), choice="data", number=6)]
    assert sums_of(wanted, POLICY, choice="data").priced.net == Decimal(72)
    own = [*wanted, Wanted(line("post", "20"), choice="data", number=7)]
    assert sums_of(own, POLICY, choice="data").priced.net == Decimal(80)
    assert sums_of(own, POLICY, choice="mend").priced.net == Decimal("112.08")


def test_smallest_charge_is_reached_without_extras_which_come_on_top():
    policy = Policy(**{**POLICY.__dict__, "minimum_charge": Decimal(50), "tax_rates": {}})
    wanted = [
        Wanted(line("labour", "30"), number=1),
        Wanted(line("part", "25"), extra="e1", number=2),
    ]
    sums = sums_of(wanted, policy, choice="mend")
    assert (sums.totals[""], sums.totals["e1"]) == (Decimal(50), Decimal(75))
    assert sum(row.line.net for row in sums.lines) == Decimal(75)


def test_cleaning_is_owed_whether_it_helps_or_not():
    wanted = [Wanted(line("labour", "40"), choice="clean"), Wanted(line("post", "12"))]
    sums = sums_of(wanted, POLICY, choice="clean")
    assert sums.ends.no_fix.total == sums.priced.total
    assert (
        sums_of([Wanted(line("labour", "40"), choice="data")], POLICY, choice="data").ends.no_fix.total == 12
    )


def test_share_is_of_labour_and_parts_that_are_always_in_its_choice():
    wanted = [*MEND, Wanted(LineInput("rush", "Rush"), number=6, percent=Decimal(15))]
    rush = next(row.line for row in sums_of(wanted, POLICY, choice="mend").lines if row.line.kind == "rush")
    assert rush.net == Decimal("15.01")  # 15 % of 100.08
    assert rush.why.startswith("15 % of labour and parts = 15.01.")


@pytest.mark.parametrize(("above", "owed"), [("112.07", "12.00"), ("112.08", "27.00"), (None, "27.00")])
def test_fee_is_waived_above_the_sum_and_not_at_it(above, owed):
    policy = Policy(**{**POLICY.__dict__, "declined_fee": Decimal(15), "tax_rates": {}})
    waived = None if above is None else Decimal(above)
    sums = sums_of(MEND, policy, choice="mend", waived_above=waived)
    assert sums.ends.back.total == Decimal(owed)
