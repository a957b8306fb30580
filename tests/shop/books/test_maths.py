"""The books' own sums: whose clock, what became of it, what a spreadsheet may read."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from intake.stations import Clock, SlipReason, Station
from shop.books.clocks_maths import owned_days, shares
from shop.books.formula_safe import harmless
from shop.books.margin_maths import Minutes, OrderMoney
from shop.books.outcome_maths import Rate, age_of, failed_burden, promise_word, why_lost
from shop.books.sheet_facts import Hold, OrderFacts, Visit

START = datetime(2026, 2, 2, 9, tzinfo=UTC)


def after(days: float) -> datetime:
    return START + timedelta(days=days)


def order(**changes: object) -> OrderFacts:
    given: dict[str, object] = {
        "pk": 1,
        "code": "K7M4-3TX9",
        "what": "Zarnik Z7",
        "customer": "Mara Ellwick",
        "arrived": START,
        "left": after(4),
        "station": Station.HOME,
        "outcome": "fixed",
        "comeback": False,
        "promise": None,
        "left_day": None,
        "money": OrderMoney(Decimal(0), Decimal(0), Decimal(0), Decimal(0), Decimal(0), 0),
        "minutes": Minutes(),
    }
    return OrderFacts(**{**given, **changes})  # type: ignore[arg-type]


def test_days_belong_to_the_station_and_to_a_slip_before_it() -> None:
    visits = [
        Visit(Station.DIAGNOSIS, after(0), after(1)),
        Visit(Station.GO_AHEAD, after(1), after(3)),
        Visit(Station.REPAIR, after(3), None),
    ]
    holds = [Hold(SlipReason.PART, after(3.5), after(5)), Hold(SlipReason.DISPUTE, after(9), None)]
    days = owned_days(visits, holds, since=after(0), until=after(6))
    assert days == {Clock.SHOP: 2.5, Clock.CUSTOMER: 2.0, Clock.SUPPLIER: 1.5}
    both = shares([days, {Clock.CUSTOMER: 4.0}])
    assert (both.all, both.share(Clock.CUSTOMER)) == (10.0, 0.6)


def test_days_before_arrival_and_after_the_end_are_left_out() -> None:
    visits = [Visit(Station.GOODS_IN, after(-5), after(0)), Visit(Station.DIAGNOSIS, after(0), after(9))]
    assert owned_days(visits, [], since=after(0), until=after(2)) == {Clock.SHOP: 2.0}
    assert owned_days(visits, [], since=after(0), until=after(0)) == {}


def test_stay_of_an_order_still_here_runs_to_now_and_has_not_ended() -> None:
    assert order().stay(after(30)) == (4.0, True)
    assert order(left=None).stay(after(30)) == (30.0, False)


def test_time_at_a_station_adds_its_visits_and_stays_open() -> None:
    twice = order(
        visits=(Visit(Station.REPAIR, after(0), after(1)), Visit(Station.TEST, after(1), after(2)),
                Visit(Station.REPAIR, after(2), None)),
    )  # fmt: skip
    assert twice.stays_at(Station.REPAIR, after(4)) == (3.0, False)
    assert twice.stays_at(Station.TEST, after(4)) == (1.0, True)
    assert twice.stays_at(Station.QUOTE, after(4)) is None


@pytest.mark.parametrize(
    ("promise", "left", "word"),
    [
        (None, date(2026, 2, 5), ""),
        (date(2026, 2, 5), date(2026, 2, 5), "kept"),
        (date(2026, 2, 5), date(2026, 2, 6), "missed"),
        (date(2026, 2, 9), None, "missed"),
        (date(2026, 2, 10), None, ""),
        (date(2026, 2, 20), date(2026, 2, 8), "kept"),
    ],
)
def test_promise_still_here_and_past_its_day_is_missed(
    promise: date | None, left: date | None, word: str
) -> None:
    assert promise_word(promise, left, date(2026, 2, 10)) == word


def test_rate_of_few_is_pale_and_has_its_interval() -> None:
    """Trade's own table: 7 of 9 is 45 to 94 % (Wilson, 95 %)."""
    low, high = Rate(7, 9).limits
    assert Rate(7, 9).few and not Rate(7, 10).few
    assert (round(low, 2), round(high, 2)) == (0.45, 0.94)
    assert Rate(0, 0).share is None


def test_failed_work_counts_no_comeback_and_nothing_mended() -> None:
    look = Minutes(look=10)
    rows = [
        order(outcome="no fix", minutes=look),
        order(outcome="fixed", minutes=look),
        order(outcome="no fix", comeback=True, minutes=look),
        order(outcome="", left=None, answer="waiting", minutes=look),
        order(outcome="", left=None, answer="accepted", minutes=look),
    ]
    assert failed_burden(rows, cost_per_minute=Decimal("0.70"), currency="USD") == Decimal("14.00")


@pytest.mark.parametrize(
    ("over", "age"), [(-1, "due later"), (0, "due later"), (1, "1-30"), (31, "31-60"), (61, "over 60")]
)
def test_age_of_a_debt_by_days_past_due(over: int, age: str) -> None:
    assert age_of(date(2026, 2, 10) - timedelta(days=over), date(2026, 2, 10)) == age


def test_reason_of_a_loss_names_the_written_cost_first() -> None:
    assert why_lost(order(cost_words=("Lost parcel",), outcome="declined")) == "Lost parcel"
    assert "came back" in why_lost(order(comeback=True))
    assert "not mended" in why_lost(order(outcome="no fix"))


@pytest.mark.parametrize("typed", ["=1+1", "+1", "-1", "@sum", "\t=1", "\r=1", "|cmd", "%a"])
def test_text_that_would_be_a_formula_is_made_harmless(typed: str) -> None:
    assert harmless(typed) == "'" + typed
    assert harmless("Mara = Ellwick") == "Mara = Ellwick"
