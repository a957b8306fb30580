"""Adds up what was gathered: each figure with the orders it rests on. Pure."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from intake.money import quantize
from intake.stations import NAMES, Clock, SlipReason, Station
from shop.books import outcome_maths
from shop.books.clocks_maths import Shares, order_days, shares
from shop.books.margin_maths import Waterfall, added_up, per_hour, waterfall
from shop.books.outcome_maths import Groups, Rate, grouped
from shop.books.sheet_facts import Gathered, OrderFacts
from shop.books.turnaround_maths import Curve, kaplan_meier

MEDIAN, EIGHT_IN_TEN = Fraction(1, 2), Fraction(4, 5)
STATIONS = tuple(station for station in Station if Station.GOODS_IN < station < Station.WAY_HOME)
AGES = ("due later", "1-30", "31-60", "over 60")


@dataclass(frozen=True)
class StationTime:
    """Days at one station, of the orders that stood there."""

    station: Station
    curve: Curve
    days: float
    orders: tuple[int, ...]

    @property
    def name(self) -> str:
        return NAMES[self.station]


@dataclass(frozen=True)
class MarginRow:
    order: OrderFacts
    steps: Waterfall


@dataclass(frozen=True)
class Margins:
    """Rows of orders that left, then of those still here; `left`, `here` and `both` are their sums."""

    gone: tuple[MarginRow, ...]
    still: tuple[MarginRow, ...]
    left: Waterfall
    here: Waterfall
    both: Waterfall
    lost: tuple[MarginRow, ...]
    hour: Decimal | None
    hour_undisturbed: Decimal | None
    burden: Decimal
    burden_each: Decimal | None
    failed: tuple[int, ...]
    billed_mended: tuple[int, ...]


def turnaround(books: Gathered) -> Curve:
    """Days from arrival until the device left, those still here counted as still here."""
    return kaplan_meier(order.stay(books.at) for order in books.orders)


def station_times(books: Gathered) -> list[StationTime]:
    """Time at each station, re-entries added, a stay that goes on counted as going on."""
    rows = []
    for station in STATIONS:
        stays = [
            (order.pk, stay)
            for order in books.orders
            if (stay := order.stays_at(station, books.at)) is not None
        ]
        if stays:
            days = sum(spent for _, (spent, _) in stays)
            pks = tuple(pk for pk, _ in stays)
            rows.append(StationTime(station, kaplan_meier(stay for _, stay in stays), days, pks))
    return rows


def clocks(books: Gathered) -> tuple[Shares, Shares, OrderFacts | None]:
    """Whose days they were; the same without the order that waited longest; and that order."""
    each = [(order, order_days(order, at=books.at)) for order in books.orders]
    waited = max(each, key=lambda pair: pair[1].get(Clock.CUSTOMER, 0.0), default=None)
    if waited is None or not waited[1].get(Clock.CUSTOMER):
        return shares(days for _, days in each), Shares({}), None
    rest = shares(days for order, days in each if order is not waited[0])
    return shares(days for _, days in each), rest, waited[0]


def flow(books: Gathered) -> float:
    """Bench minutes by elapsed minutes, 0 to 1."""
    elapsed = sum(((order.left or books.at) - order.arrived).total_seconds() / 60 for order in books.orders)
    spent = sum(order.minutes.all for order in books.orders)
    return spent / elapsed if elapsed else 0.0


def margins(books: Gathered) -> Margins:
    """The waterfall of every order, what lost money, and what an hour earned."""
    currency, rate = books.shop.currency, books.shop.cost_per_minute
    rows = [
        MarginRow(order, waterfall(order.money, cost_per_minute=rate, currency=currency))
        for order in books.orders
    ]
    gone = tuple(row for row in rows if row.order.left is not None)
    still = tuple(row for row in rows if row.order.left is None)
    left, here, both = (_sum(part, currency) for part in (gone, still, rows))
    lost = sorted(
        (row for row in rows if row.steps.full_margin < 0 and _is_over(row.order)),
        key=lambda row: row.steps.full_margin,
    )
    failed = [order for order in books.orders if outcome_maths.is_unpaid_work(order)]
    billed = tuple(order.pk for order in books.orders if order.mended and order.money.billed_net > 0)
    burden = outcome_maths.failed_burden(failed, cost_per_minute=rate, currency=currency)
    return Margins(
        gone, still, left, here, both, tuple(lost),
        per_hour(both.cash_margin, both.minutes, currency=currency),
        per_hour(both.cash_margin + both.other_cost, both.minutes, currency=currency),
        burden,
        quantize(burden / len(billed), currency) if billed else None,
        tuple(order.pk for order in failed), billed,
    )  # fmt: skip


def _is_over(order: OrderFacts) -> bool:
    """Gone, or here without a yes to come: what an open repair cost so far is no loss yet."""
    return order.left is not None or order.answer in ("lapsed", "declined")


def _sum(rows: Iterable[MarginRow], currency: str) -> Waterfall:
    return added_up((row.steps for row in rows), currency=currency)


def answers(books: Gathered) -> tuple[Groups, Rate]:
    """Orders by how their quote was answered, by the day of the first quote; work under warranty left out."""
    groups = grouped(
        (quote.answer, quote.order)
        for quote in books.quotes
        if not quote.comeback and _within(books, quote.first_sent)
    )
    yes = groups.count("accepted")
    return groups, Rate(yes, yes + groups.count("declined") + groups.count("lapsed"))


def _within(books: Gathered, moment: dt.datetime) -> bool:
    return moment <= books.at and (books.since is None or moment >= books.since)


def promises(books: Gathered) -> tuple[Groups, Rate]:
    """First promises: kept, or missed; one whose day is still to come counts for neither."""
    groups = grouped(
        (outcome_maths.promise_word(order.promise, order.left_day, books.today), order.pk)
        for order in books.orders
    )
    kept = groups.count("kept")
    return groups, Rate(kept, kept + groups.count("missed"))


def no_fix(books: Gathered) -> tuple[Groups, Rate]:
    """Of the repairs that were tried to the end, how many could not be done."""
    groups = grouped(
        ("no-fix" if order.outcome == "no fix" else "fixed" if order.mended else "", order.pk)
        for order in books.orders
    )
    return groups, Rate(groups.count("no-fix"), groups.count("no-fix") + groups.count("fixed"))


def quoted_minutes(books: Gathered) -> tuple[tuple[int, ...], int, int]:
    """Orders mended and gone with minutes on their agreed quote; those minutes; looking and repairing really spent."""
    rows = [order for order in books.orders if order.mended and order.left and order.quoted_minutes]
    return (
        tuple(order.pk for order in rows),
        sum(order.quoted_minutes for order in rows),
        sum(order.minutes.look + order.minutes.repair for order in rows),
    )


def owed_by_age(books: Gathered) -> list[tuple[str, Decimal, tuple[int, ...]]]:
    """(age, sum, orders) by days past the due day of the oldest bill; money to pay back is the last row, where there is any."""
    rows = []
    for age in AGES:
        here = [
            row for row in books.owed if row.amount > 0 and outcome_maths.age_of(row.due, books.today) == age
        ]
        rows.append((age, _total(books, (row.amount for row in here)), tuple(row.order for row in here)))
    back = [row for row in books.owed if row.amount < 0]
    if back:
        rows.append(
            ("to pay back", _total(books, (row.amount for row in back)), tuple(row.order for row in back))
        )
    return rows


def disputed(books: Gathered) -> tuple[int, ...]:
    """Orders with an open dispute slip; their money is said apart."""
    return tuple(
        order.pk
        for order in books.orders
        if any(hold.reason is SlipReason.DISPUTE and hold.until is None for hold in order.holds)
    )


def _total(books: Gathered, amounts: Iterable[Decimal]) -> Decimal:
    return quantize(sum(amounts, Decimal(0)), books.shop.currency)


def behind(books: Gathered) -> dict[str, tuple[int, ...]]:
    """The orders behind every figure, by the name the figure has in an address."""
    found: dict[str, tuple[int, ...]] = {
        "arrived": tuple(order.pk for order in books.orders),
        "here": tuple(order.pk for order in books.orders if order.left is None),
        "left": tuple(order.pk for order in books.orders if order.left is not None),
    }
    found |= {f"station-{int(row.station)}": row.orders for row in station_times(books)}
    money = margins(books)
    found |= {"lost": tuple(row.order.pk for row in money.lost), "failed": money.failed}
    found |= {f"quote-{key}": pks for key, pks in answers(books)[0].orders.items()}
    found |= {f"promise-{key}": pks for key, pks in promises(books)[0].orders.items()}
    found |= {f"tried-{key}": pks for key, pks in no_fix(books)[0].orders.items()}
    found |= {"minutes": quoted_minutes(books)[0], "disputed": disputed(books)}
    return found | {f"owed-{age.replace(' ', '-')}": pks for age, _, pks in owed_by_age(books)}
