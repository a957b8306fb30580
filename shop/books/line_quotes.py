"""How orders' quotes stand: when the first went, what became of the last, its price and its minutes."""

from collections import defaultdict
from collections.abc import Mapping
from typing import Any, NamedTuple

from django.db.models import F, Q, Sum

from quotes.models import Quote, QuoteLine
from shop.books.house import smallest_units

ACCEPTED = frozenset({"mend", "data", "clean", "first"})
# The lines of the choice that was taken, extras apart: they are a list no query of both engines can look into.
TAKEN = Q(lines__extra="") & (
    Q(lines__choice=F("decision__choice")) | Q(lines__choice="mend", decision__choice="first")
)


class Answer(NamedTuple):
    """The fields of a line that speak of quotes."""

    remedy: str = ""
    first_sent: int = 0
    answered: int = 0
    answer: str = ""
    choice: str = ""
    channel: str = ""
    quoted: int = 0
    quoted_minutes: int = 0


def answers_of(wanted: list[int], digits: Mapping[int, int]) -> dict[int, Answer]:
    """By order; `digits` of each one's currency. Two queries."""
    rows = (
        Quote.objects.filter(order__in=wanted)
        .order_by("order_id", "revision")
        .annotate(bench=Sum("lines__minutes", filter=TAKEN))
        .values("order_id", "sent_at", "total", "end__why", "end__at", "decision__choice", "decision__at",
                "decision__channel", "decision__amount", "decision__stop__at", "bench")
    )  # fmt: skip
    by_order: dict[int, list[dict[str, Any]]] = defaultdict(list)
    for row in rows:
        by_order[row["order_id"]].append(row)
    remedies = _remedies(wanted)
    return {order: _stands(own, remedies.get(order, ""), digits[order]) for order, own in by_order.items()}


def _remedies(wanted: list[int]) -> dict[int, str]:
    """The first remedy of the newest quote: of the choice that was taken, else of the mending that was offered."""
    rows = (
        QuoteLine.objects.filter(quote__order__in=wanted, remedy__isnull=False, extra="")
        .order_by("quote__revision", "-number")
        .values_list("quote__order_id", "choice", "quote__decision__choice", "remedy__name")
    )
    found: dict[int, str] = {}
    for order, choice, taken, name in rows:
        if choice == (taken if taken in ACCEPTED - {"first"} else "mend"):
            found[order] = name
    return found


def _stands(rows: list[dict[str, Any]], remedy: str, digits: int) -> Answer:
    told = [(answer, row) for row in rows if (answer := _answer(row))]
    last = told[-1][1] if told else rows[-1]
    agreed = [row for answer, row in told if answer == "accepted"]
    amount = last["decision__amount"] if told and told[-1][0] == "accepted" else last["total"]
    ended = last["decision__at"] or (last["end__at"] if last["end__why"] == "lapsed" else None)
    return Answer(
        remedy=remedy,
        first_sent=int(rows[0]["sent_at"].timestamp()),
        answered=int(ended.timestamp()) if ended else 0,
        answer=told[-1][0] if told else "",
        choice=last["decision__choice"] or "",
        channel=last["decision__channel"] or "",
        quoted=smallest_units(amount, digits),
        quoted_minutes=(agreed[-1]["bench"] or 0) if agreed else 0,
    )


def _answer(row: dict[str, Any]) -> str:
    """'' for a quote that was replaced or taken back before it was answered."""
    if row["decision__choice"]:
        said_yes = row["decision__choice"] in ACCEPTED and row["decision__stop__at"] is None
        return "accepted" if said_yes else "declined"
    return {None: "waiting", "lapsed": "lapsed"}.get(row["end__why"], "")
