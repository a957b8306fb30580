"""A year run again: unchanged it is the ledger, and each rule does what its sentence says."""

from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.money import quantize
from shop.books.lines import MENDED, Books, House, Line, Window
from shop.books.replay.replay_maths import (
    as_it_was,
    asked_then,
    half_up,
    replayed,
    repriced,
    share_of_yes,
    stops,
    under,
)
from shop.books.replay.shapes import AS_IT_WAS, Answer, Extra, More, Rules
from shop.books.replay.sums import orders_table, tables

HOUSE = House("USD", 2, ZoneInfo("UTC"), 700_000)
CARD = 2_900  # 2.9 %
# Two lines of the invented world's table: mended after a long look, and tried without a fix.
DOV = Line(
    1, currency="USD", remedy="Recover data", arrived=1, left=2, outcome="data only", answer="accepted",
    quoted=24172, billed=24100, parts=620, post=940, fees=731, look=62, repair=95, test=20, talk=20, bench=13790,
    declared=20000,
)  # fmt: skip
DOV_MORE = More(
    labour=((22000, 0),), post=((1200, 0),), gross=24172, asked=24172, asked_labour=((22000, 0),),
    answers=(Answer(24172, 86_400, False),), posted=True,
)  # fmt: skip
LENKA = Line(
    2, currency="USD", remedy="Fit jumper wire", arrived=1, left=2, outcome="no fix", answer="accepted", quoted=10800,
    billed=1200, parts=740, post=940, fees=65, look=70, repair=55, talk=12, bench=9590, declared=15000,
)  # fmt: skip
LENKA_MORE = More(
    post=((1200, 0),), gross=1200, asked=10800, asked_labour=((9600, 0),),
    answers=(Answer(10800, 112_320, False),), posted=True,
)  # fmt: skip
PETRA = Line(
    3, currency="USD", arrived=1, left=2, outcome="declined", answer="declined", quoted=21300, billed=1200, post=940,
    fees=65, losses=14000, look=48, talk=14, bench=4340, declared=24000,
)  # fmt: skip
PETRA_MORE = More(post=((1200, 0),), gross=1200, posted=True, lost=14000)
MORE = {1: DOV_MORE, 2: LENKA_MORE, 3: PETRA_MORE}


def _books(*lines: Line) -> Books:
    return Books(HOUSE, 10, Window("year", "Last 52 weeks", 1, 11), lines)


def _run(rules: Rules, *lines: Line) -> tuple[int, int]:
    ran = replayed(_books(*lines), Extra(MORE, CARD, rules))
    return ran.was.full, ran.would.full


def test_replay_of_nothing_changed_is_the_ledger() -> None:
    ran = replayed(_books(DOV, LENKA, PETRA), Extra(MORE, CARD))
    for both in ran.orders:
        assert both.would == both.was
        assert (both.was.billed, both.was.cash, both.was.full, both.was.spent) == (
            both.line.billed, both.line.cash, both.line.full, both.line.minutes * 60,
        )  # fmt: skip
    assert ran.would == ran.was
    assert ran.was.full == 8019 - 10135 - 18145


def test_stop_rule_ends_a_board_that_was_not_mended_with_less_spent() -> None:
    # 60 + 12 minutes at 0.70 = 50.40; 12.00 - 9.40 post - 0.65 fee = 1.95; no part is used. Before: -101.35.
    run = under(LENKA, LENKA_MORE, Rules(stop_after=60), card=CARD)
    assert (run.look, run.repair, run.spent, run.bench, run.parts) == (60 * 60, 0, 72 * 60, 5040, 0)
    assert (run.billed, run.cash, run.full) == (1200, 195, -4845)


def test_stop_rule_gives_up_what_a_mended_board_brought() -> None:
    # Fee: 7.31 - 2.9 % of (241.72 - 12.00) = 0.64812; 12.00 - 9.40 - 0.65 = 1.95; 80 minutes are 56.00.
    run = under(DOV, DOV_MORE, Rules(stop_after=60), card=CARD)
    assert (run.billed, run.fees, run.cash, run.spent, run.bench, run.full) == (
        1200,
        65,
        195,
        80 * 60,
        5600,
        -5405,
    )


def test_stop_rule_is_reported_on_both_sides() -> None:
    (stop,) = stops(_books(DOV, LENKA, PETRA), Extra(MORE, CARD), [60])
    assert (stop.unmended.orders, stop.unmended.difference) == ((2,), 5290)
    assert (stop.mended.orders, stop.mended.difference) == ((1,), -5405 - 8019)
    assert stop.difference == 5290 - 13424


def test_stop_rule_leaves_comebacks_and_short_looks_alone() -> None:
    back = LENKA._replace(comeback_of=9)
    for line, minutes in ((back, 60), (LENKA, 70)):
        assert under(line, LENKA_MORE, Rules(stop_after=minutes), card=CARD) == as_it_was(line, LENKA_MORE)


def test_cover_brings_the_lost_part_back_and_costs_on_every_parcel_above() -> None:
    rules = Rules(cover_above=10_000, cover_percent=Fraction(1), cover_fixed=100)
    petra = under(PETRA, PETRA_MORE, rules)
    # Worth 240.00, 140.00 of it above 100.00: 1.40 and 1.00.
    assert (petra.losses, petra.cover, petra.full - PETRA.full) == (0, 240, 14000 - 240)
    dov = under(DOV, DOV_MORE, rules)
    assert (dov.cover, dov.full - DOV.full) == (200, -200)
    assert under(DOV, DOV_MORE._replace(posted=False), rules).cover == 0
    assert under(DOV._replace(declared=10_000), DOV_MORE, rules).cover == 0


def test_cover_brings_back_no_more_than_the_part_above() -> None:
    run = under(PETRA._replace(declared=12_000), PETRA_MORE, Rules(cover_above=10_000))
    assert run.losses == 12_000


def test_price_of_labour_moves_the_bill_and_the_fee() -> None:
    run = under(DOV, DOV_MORE, Rules(labour=Fraction(11, 10)), card=CARD)
    # 22.00 more; 2.9 % of it is 0.638.
    assert (run.billed, run.fees, run.spent, run.yes) == (26300, 795, DOV.minutes * 60, 1)


def test_price_of_one_remedy_leaves_the_others() -> None:
    rules = Rules(labour=Fraction(2), remedy="Fit jumper wire")
    assert under(DOV, DOV_MORE, rules, card=CARD) == as_it_was(DOV, DOV_MORE)
    assert repriced(((9600, 0),), rules, "Fit jumper wire") == (9600, 0)


@pytest.mark.parametrize(
    ("lines", "floor", "expected"),
    [
        (((5000, 8000), (1000, 8000)), 8000, (2000, 160)),
        (((9000, 0),), 8000, (0, 0)),
        ((), 8000, (0, 0)),
        (((5000, 0), (-5000, 0)), 8000, (0, 0)),
    ],
)
def test_floor_lifts_labour_that_is_charged_at_all(
    lines: tuple[tuple[int, int], ...], floor: int, expected: tuple[int, int]
) -> None:
    assert repriced(lines, Rules(floor=floor), "") == expected


def test_fewer_yes_counts_an_order_in_exact_shares() -> None:
    rules = Rules(labour=Fraction(11, 10), fewer=Fraction(10))
    # 22.00 on 241.72 is 9.10 % more: 9.10 of 100 fewer.
    share = share_of_yes(DOV_MORE, rules, asked_then(DOV, DOV_MORE, rules))
    assert share == 1 - Fraction(2200, 24172)
    run = under(DOV, DOV_MORE, rules, card=CARD)
    assert run.yes == share
    assert run.billed == half_up(share * 26300 + (1 - share) * 1200)
    assert run.spent == (62 + 20) * 60 + half_up(share * 95 * 60) + half_up(share * 20 * 60)
    assert run.full < under(DOV, DOV_MORE, Rules(labour=Fraction(11, 10)), card=CARD).full


def test_a_lower_price_asks_nobody_anew() -> None:
    assert share_of_yes(DOV_MORE, Rules(labour=Fraction(1, 2), fewer=Fraction(50)), 13_172) == 1


def test_an_order_within_its_own_limit_is_not_asked() -> None:
    limited = DOV_MORE._replace(answers=(Answer(24172, 0, True),), limit=26_372)
    rules = Rules(labour=Fraction(11, 10), fewer=Fraction(10))
    assert share_of_yes(limited, rules, 26_372) == 1
    assert share_of_yes(limited._replace(limit=26_371), rules, 26_372) < 1
    ran = replayed(_books(DOV), Extra({1: limited._replace(limit=26_371)}, CARD, rules))
    assert ran.asked_again == (1,)


def test_limit_takes_the_wait_for_an_answer_away() -> None:
    within, above = Rules(limit=24172), Rules(limit=24171)
    assert as_it_was(DOV, DOV_MORE).waited == 86_400
    run = under(DOV, DOV_MORE, within)
    assert (run.waited, run.at_once, run.full) == (0, 1, DOV.full)
    assert under(DOV, DOV_MORE, above) == as_it_was(DOV, DOV_MORE)


def test_limit_is_held_against_the_new_price() -> None:
    rules = Rules(limit=24172, labour=Fraction(11, 10))
    assert under(DOV, DOV_MORE, rules, card=CARD).waited == 86_400


def test_orders_that_change_most_come_first_and_sums_are_those_of_the_rows() -> None:
    books = _books(DOV, LENKA, PETRA)
    ran = replayed(books, Extra(MORE, CARD, Rules(stop_after=60, cover_above=10_000)))
    assert [both.line.order for both in ran.most_changed(10)] == [3, 1, 2]
    assert (ran.was.mended, ran.would.mended) == (1_000_000, 0)
    table = orders_table(ran, books)
    names = [column.key for column in table.columns]
    for key in ("billed", "billed_was", "cash", "cash_was", "full", "full_was", "difference"):
        spot = names.index(key)
        assert table.sums[spot] == sum(row[spot] for row in table.rows)  # type: ignore[misc]
    assert [table.key for table in tables(books, Extra(MORE, CARD))] == ["replay-orders"]


money = st.integers(0, 60_000)
minutes = st.integers(0, 200)
rate = st.sampled_from([0, 8_000, 19_000, 20_000])
priced = st.lists(st.tuples(st.integers(-5_000, 40_000), rate), max_size=3).map(tuple)


@st.composite
def cases(draw: st.DrawFn) -> tuple[Line, More]:
    line = Line(
        draw(st.integers(1, 10**6)), currency="USD", remedy=draw(st.sampled_from(["", "Wire", "Chip"])), arrived=1, left=2,
        outcome=draw(st.sampled_from([*sorted(MENDED), "no fix", "declined", ""])),
        comeback_of=draw(st.sampled_from([0, 0, 7])), billed=draw(money), parts=draw(money), spoiled=draw(money),
        post=draw(money), fees=draw(money), losses=draw(money), look=draw(minutes), repair=draw(minutes), test=draw(minutes),
        talk=draw(minutes), bench=draw(money), declared=draw(money),
    )  # fmt: skip
    answers = st.lists(
        st.tuples(money, st.integers(0, 10**6), st.booleans()).map(lambda row: Answer(*row)), max_size=2
    )
    more = More(
        draw(priced), draw(priced), draw(money), draw(money), draw(priced), tuple(draw(answers)),
        draw(st.integers(-1, 60_000)), draw(st.booleans()), draw(money),
    )  # fmt: skip
    return line, more


worlds = st.lists(cases(), max_size=6, unique_by=lambda case: case[0].order)


@given(worlds, st.integers(0, 10_000))
def test_replay_unchanged_equals_every_line(world: list[tuple[Line, More]], card: int) -> None:
    extra = Extra({line.order: more for line, more in world}, card, AS_IT_WAS)
    ran = replayed(_books(*(line for line, _ in world)), extra)
    for both in ran.orders:
        assert both.would == both.was
        assert (both.would.cash, both.would.full, both.would.spent) == (
            both.line.cash, both.line.full, both.line.minutes * 60,
        )  # fmt: skip
    assert (ran.would.cash, ran.would.full) == (
        sum(line.cash for line, _ in world), sum(line.full for line, _ in world),
    )  # fmt: skip


@given(cases(), st.integers(0, 10_000))
def test_rules_that_say_what_was_change_nothing(case: tuple[Line, More], card: int) -> None:
    line, more = case
    neutral = Rules(labour=Fraction(1), floor=0, fewer=Fraction(30), stop_after=10**6)
    assert under(line, more, neutral, card=card) == as_it_was(line, more)
    assert under(line, more, Rules(cover_above=10**9), card=card) == as_it_was(line, more)
    assert under(line, more, Rules(limit=-1), card=card)._replace(at_once=0) == as_it_was(
        line, more
    )._replace(at_once=0)


@given(cases(), st.integers(0, 60_000))
def test_free_cover_never_worsens_an_order(case: tuple[Line, More], above: int) -> None:
    line, more = case
    for threshold in (0, above):
        run = under(line, more, Rules(cover_above=threshold))
        assert 0 <= run.losses <= line.losses
        assert run.full >= line.full


@given(
    worlds,
    st.builds(
        Rules,
        labour=st.none() | st.fractions(0, 3, max_denominator=100),
        floor=st.none() | money,
        fewer=st.fractions(0, 100, max_denominator=10),
        limit=st.none() | money,
        cover_above=st.none() | money,
        cover_percent=st.fractions(0, 10, max_denominator=100),
        cover_fixed=st.integers(0, 500),
        stop_after=st.none() | st.integers(1, 200),
    ),
)
def test_sums_are_the_sums_of_the_orders(world: list[tuple[Line, More]], rules: Rules) -> None:
    extra = Extra({line.order: more for line, more in world}, CARD, rules)
    ran = replayed(_books(*(line for line, _ in world)), extra)
    for name in (
        "billed",
        "parts",
        "spoiled",
        "post",
        "fees",
        "losses",
        "cover",
        "cash",
        "spent",
        "bench",
        "full",
    ):
        assert getattr(ran.would, name) == sum(getattr(both.would, name) for both in ran.orders)
    assert sum(both.difference for both in ran.orders) == ran.would.full - ran.was.full
    assert all(0 <= both.would.yes <= 1 and both.would.fees >= 0 for both in ran.orders)
    assert all(both.would.waited <= both.was.waited or rules.prices for both in ran.orders)


@given(st.fractions(-10_000, 10_000, max_denominator=999))
def test_half_up_rounds_as_money_does(value: Fraction) -> None:
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    assert half_up(value) == int(quantize(exact, "JPY"))
