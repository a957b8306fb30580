"""The figures of the books as a page says them: each with its meaning, how many orders it rests on, and the way to them."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from intake import wording
from intake.house import house
from intake.stations import Clock
from shop.books import reckoning
from shop.books.charts import earlier as charts
from shop.books.outcome_maths import Groups, Rate, why_lost
from shop.books.sheet_facts import Gathered

WORST = 10
LISTED = 200
OWNER_NAMES = {
    Clock.SHOP: "Ours",
    Clock.CUSTOMER: "The customer's",
    Clock.SUPPLIER: "A supplier's",
    Clock.CARRIER: "The carrier's",
}


@dataclass(frozen=True)
class Card:
    """One figure. `rests_on` says n and what became of open orders; `behind` is the name of its list; `pale`: too few."""

    name: str
    value: str
    means: str
    rests_on: str
    behind: str = ""
    pale: bool = False


def page(books: Gathered) -> dict[str, Any]:
    """Context of the page of the books."""
    return {
        "turnaround": turnaround(books),
        "stations": stations(books),
        "clocks": clocks(books),
        "margin": margin(books),
        "quotes": answers(books),
        "promises": promises(books),
        "work": work(books),
        "owed": owed(books),
        "foreign": books.foreign,
        "few": not books.orders,
    }


def turnaround(books: Gathered) -> dict[str, Any]:
    curve = reckoning.turnaround(books)
    n = f"{wording.count(curve.orders, 'order')}, {curve.running} of them still here and counted as still here"
    means = {
        "Half are gone by": "Days from arrival until the device was sent, handed over or recycled: the middle one.",
        "Eight in ten are gone by": "The same for eight in ten of the devices.",
    }
    shares = ((reckoning.MEDIAN, "Half are gone by"), (reckoning.EIGHT_IN_TEN, "Eight in ten are gone by"))
    cards = []
    for share, name in shares:
        low, high = curve.percentile_interval(share)
        span = f" Likely between {days(low)} and {days(high)} (95 %)." if low is not None else ""
        cards.append(
            Card(name, days(curve.percentile(share)), means[name] + span, n, "arrived", curve.orders < 10)
        )
    rows = [
        {
            "days": f"{step.time:.1f}",
            "gone": percent(1 - float(step.still_open)),
            "n": step.at_risk,
            "ended": step.ended,
        }
        for step in curve.steps
    ]
    return {
        "cards": cards,
        "rows": rows,
        "chart": charts.data_address(charts.gone_by_day(curve)) if rows else "",
    }


def stations(books: Gathered) -> dict[str, Any]:
    rows = [
        {
            "number": int(row.station),
            "name": row.name,
            "median": days(row.curve.median),
            "eighty": days(row.curve.percentile(reckoning.EIGHT_IN_TEN)),
            "all": f"{row.days:.1f}",
            "n": row.curve.orders,
            "running": row.curve.running,
            "behind": f"station-{int(row.station)}",
            "pale": row.curve.orders < 10,
            "bar": row.curve.median,
        }
        for row in reckoning.station_times(books)
    ]
    drawn = [(f"{row['number']} {row['name']}", float(row["bar"] or 0), str(row["median"])) for row in rows]
    return {"rows": rows, "chart": charts.data_address(charts.bars(drawn)) if drawn else ""}


def clocks(books: Gathered) -> dict[str, Any]:
    every, rest, longest = reckoning.clocks(books)
    rows = [
        {"name": name, "days": f"{every.days.get(owner, 0.0):.1f}", "share": percent(every.share(owner)),
         "without": percent(rest.share(owner)) if longest else ""}
        for owner, name in OWNER_NAMES.items()
    ]  # fmt: skip
    return {
        "rows": rows,
        "longest": longest,
        "n": len(books.orders),
        "flow": f"{reckoning.flow(books) * 100:.1f} %",
    }


def _margin_cards(books: Gathered, money: reckoning.Margins) -> list[Card]:
    both = money.both
    return [
        Card(
            "An hour at the bench earned", cash(money.hour) if money.hour is not None else "nothing yet",
            "Cash margin of all orders by all bench hours, unpaid ones and open orders among them."
            + (f" Without losses and other costs: {cash(money.hour_undisturbed)}." if both.other_cost else "")
            + f" The bench itself costs {cash(books.shop.cost_per_minute * 60)} an hour.",
            f"{wording.count(len(books.orders), 'order')}, {wording.minutes(both.minutes)} at the bench", "arrived",
        ),
        Card(
            "Failed work, for each billed repair",
            cash(money.burden_each) if money.burden_each is not None else "nothing billed",
            f"Bench cost of what nobody pays ({cash(money.burden)}: not mended, answered no, lapsed, still waiting for an "
            "answer) by repairs billed. Comebacks stand apart.",
            f"{wording.count(len(money.failed), 'unpaid order')}, {wording.count(len(money.billed_mended), 'billed repair')}",
            "failed", len(money.billed_mended) < 10,
        ),
    ]  # fmt: skip


def margin(books: Gathered) -> dict[str, Any]:
    money = reckoning.margins(books)
    both = money.both
    steps = [(name, amount, cash(amount), number == 0) for number, (name, amount) in enumerate(both.steps())]
    drawn = [*steps[:5], ("Cash margin", both.cash_margin, cash(both.cash_margin), True), steps[5]]
    drawn.append(("Full margin", both.full_margin, cash(both.full_margin), True))
    return {
        "cards": _margin_cards(books, money),
        "money": money,
        "rows": money.gone,
        "still": money.still,
        "shown_rows": money.gone[:LISTED],
        "shown_still": money.still[:LISTED],
        "cut": LISTED if max(len(money.gone), len(money.still)) > LISTED else 0,
        "chart": charts.data_address(charts.falls(drawn)) if books.orders else "",
        "drawn": drawn,
        "lost": [
            {
                "code": row.order.code,
                "customer": row.order.customer,
                "why": why_lost(row.order),
                "minutes": row.steps.minutes,
                "amount": row.steps.full_margin,
            }
            for row in money.lost[:WORST]
        ],
        "lost_more": len(money.lost) > WORST,
        "rate": cash(books.shop.cost_per_minute),
    }


def answers(books: Gathered) -> dict[str, Any]:
    groups, rate = reckoning.answers(books)
    card = Card(
        "Quotes agreed", share(rate),
        f"Agreed, of those agreed, declined or lapsed. {interval(rate)} One order counts once, by the day of its first "
        "quote and the fate of its last. Work under warranty is left out.",
        f"{wording.count(rate.n, 'decided order')}; {groups.count('waiting')} still waiting, not in the share",
        "quote-accepted", rate.few,
    )  # fmt: skip
    names = {"accepted": "Agreed", "declined": "Declined", "lapsed": "Lapsed", "waiting": "Waiting"}
    return {"cards": [card], "rows": _groups(groups, names, "quote")}


def promises(books: Gathered) -> dict[str, Any]:
    groups, rate = reckoning.promises(books)
    card = Card(
        "First promise kept", share(rate),
        f"Left on or before the first day that was promised, of the promises due. {interval(rate)} Still here and past "
        "the day is missed; a day still to come counts for neither.",
        f"{wording.count(rate.n, 'promise')} due", "promise-missed", rate.few,
    )  # fmt: skip
    return {"cards": [card], "rows": _groups(groups, {"kept": "Kept", "missed": "Missed"}, "promise")}


def work(books: Gathered) -> dict[str, Any]:
    groups, rate = reckoning.no_fix(books)
    pks, quoted, spent = reckoning.quoted_minutes(books)
    ratio = f"{spent / quoted:.2f}" if quoted else "nothing yet"
    cards = [
        Card(
            "Tried and not mended", share(rate),
            f"No fix, of the repairs that were agreed and tried to the end. {interval(rate)} Those still on the bench count "
            "for neither.",
            wording.count(rate.n, "repair tried", "repairs tried"), "tried-no-fix", rate.few,
        ),
        Card(
            "Minutes spent for each quoted", ratio,
            f"Looking and repairing ({wording.minutes(spent)}) by the minutes of the agreed quotes "
            f"({wording.minutes(quoted)}). Over 1: slower than quoted.",
            f"{wording.count(len(pks), 'order')} mended and gone; open ones are left out", "minutes", len(pks) < 10,
        ),
    ]  # fmt: skip
    return {"cards": cards}


def owed(books: Gathered) -> dict[str, Any]:
    names = {
        "due later": "Not due yet", "1-30": "1 to 30 days over", "31-60": "31 to 60 days over",
        "over 60": "More than 60 days over", "to pay back": "To pay back",
    }  # fmt: skip
    rows = [
        {"name": names[age], "sum": amount, "n": len(pks), "behind": f"owed-{age.replace(' ', '-')}"}
        for age, amount, pks in reckoning.owed_by_age(books)
    ]
    total = sum((row.amount for row in books.owed if row.amount > 0), Decimal(0))
    return {"rows": rows, "total": total, "disputed": len(reckoning.disputed(books))}


def _groups(groups: Groups, names: dict[str, str], prefix: str) -> list[dict[str, Any]]:
    return [
        {"name": name, "n": groups.count(key), "behind": f"{prefix}-{key}"} for key, name in names.items()
    ]


def cash(amount: Decimal | None) -> str:
    shop = house()
    return "" if amount is None else wording.money(amount, shop.currency, shop.locale)


def days(value: float | None) -> str:
    return "not reached" if value is None else f"{value:.1f} days"


def percent(value: float) -> str:
    return f"{value * 100:.0f} %"


def share(rate: Rate) -> str:
    """'7 of 9'; a share of few is no percentage worth reading by itself."""
    if rate.share is None:
        return "none yet"
    return f"{rate.k} of {rate.n}" if rate.few else percent(rate.share)


def interval(rate: Rate) -> str:
    if rate.share is None:
        return ""
    low, high = rate.limits
    said = f"{rate.k} of {rate.n}, " if not rate.few else f"{percent(rate.share)}, "
    return f"{said}likely between {percent(low)} and {percent(high)} (Wilson, 95 %)."
