"""Papers of money in a stretch of time: tax, payments, disputes, bills of the trade, deposits still to come. Reads rows."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery

from intake.stations import Station
from quotes.agreed import WORK
from quotes.ledger_maths import tax_kind
from quotes.models import Decision, Dispute, Invoice, Payment, Quote, Rates
from shop.books.house import smallest_units
from shop.books.lines import House
from shop.books.owed.shapes import DepositAsked, Disputed, Taxed, TradeBill, month_of
from shop.books.periods import midnight

NOUGHT = Decimal(0)


def taxes(house: House, *, since: int, until: int) -> tuple[Taxed, ...]:
    """The tax groups of every invoice and credit note by its day of issue, the tax point. Two queries."""
    profiles = {pk: (rules or {}).get("name") or name for pk, rules, name in _rates()}
    rows = Invoice.objects.filter(
        currency=house.currency, issued_at__gte=_moment(since), issued_at__lt=_moment(until)
    ).order_by("issued_at", "id")
    found = []
    columns = rows.values_list("order_id", "issued_at", "rates_id", "tax_groups")
    for order, issued, rates, groups in columns.iterator(5000):
        for group in groups:
            rate = tax_kind(group.get("category", ""), Decimal(group["rate"]))
            net, tax = (smallest_units(Decimal(group[key]), house.digits) for key in ("base", "tax"))
            found.append(Taxed(order, int(issued.timestamp()), profiles.get(rates, ""), rate, net, tax))
    return tuple(found)


def _rates() -> Iterator[tuple[int, dict[str, str] | None, str]]:
    yield from Rates.objects.order_by("version").values_list("pk", "tax_rules", "tax_name")


def disputes(house: House, *, since: int) -> tuple[Disputed, ...]:
    """Disputes of payments that came since, and those still held whenever they were paid. One query."""
    # No payment is disputed before it came. The payments are not asked for themselves: they are many, disputes few.
    rows = Dispute.objects.filter(Q(at__gte=_moment(since)) | Q(end__isnull=True)).order_by("at", "id")
    columns = rows.values_list(
        "payment__order_id", "payment__at", "payment__currency", "amount", "end__won", "answer_by"
    )
    return tuple(
        Disputed(
            order,
            int(paid.timestamp()),
            smallest_units(amount, house.digits),
            {None: "", True: "won", False: "lost"}[won],
            answer_by.toordinal() if answer_by else 0,
        )
        for order, paid, currency, amount, won, answer_by in columns
        if currency == house.currency and (won is None or paid >= _moment(since))
    )


def paid_orders(house: House, *, since: int, until: int) -> dict[str, int]:
    """How many orders paid something in each month of the shop's zone. One query."""
    months = list(_months(house, since, until))
    sums = {
        f"m{spot}": Count("order_id", distinct=True, filter=Q(at__gte=_moment(first), at__lt=_moment(last)))
        for spot, (_, first, last) in enumerate(months)
    }
    found = _came(house, since, until).aggregate(**sums) if sums else {}
    return {name: found[f"m{spot}"] for spot, (name, _, _) in enumerate(months)}


def paid_in(house: House, *, since: int, until: int) -> int:
    """How many orders paid something in that time. One query."""
    found: dict[str, int] = _came(house, since, until).aggregate(n=Count("order_id", distinct=True))
    return found["n"]


def _came(house: House, since: int, until: int) -> QuerySet[Payment]:
    return Payment.objects.filter(
        currency=house.currency, amount__gt=0, at__gte=_moment(since), at__lt=_moment(until)
    )


def _months(house: House, since: int, until: int) -> Iterator[tuple[str, int, int]]:
    """Months with their first moment and that of the next; the first is cut to what is asked for."""
    day = dt.datetime.fromtimestamp(since, house.zone).date().replace(day=1)
    while midnight(day.toordinal(), house) < until:
        following = (day + dt.timedelta(days=32)).replace(day=1)
        first, last = midnight(day.toordinal(), house), midnight(following.toordinal(), house)
        yield month_of(first, house), max(first, since), last
        day = following


def trade_bills(house: House, *, since: int, until: int) -> tuple[TradeBill, ...]:
    """Bills of trade customers issued in that time. One query."""
    came = Payment.objects.filter(order=OuterRef("order_id"), amount__gt=0).exclude(purpose="loss")
    rows = (
        Invoice.objects.filter(
            kind=Invoice.Kind.INVOICE, currency=house.currency, total__gt=0, order__customer__trade=True,
            issued_at__gte=_moment(since), issued_at__lt=_moment(until),
        )
        .annotate(paid=Subquery(came.order_by("-at").values("at")[:1]))
        .order_by("issued_at", "id")
    )  # fmt: skip
    return tuple(
        TradeBill(order, customer, int(issued.timestamp()), int(paid.timestamp()) if paid else 0)
        for order, customer, issued, paid in rows.values_list(
            "order_id", "order__customer_id", "issued_at", "paid"
        )
    )


def deposits_asked(house: House) -> tuple[DepositAsked, ...]:
    """Deposits agreed to on orders at the bench, less what came. Two queries."""
    here = {"order__station__in": (Station.GO_AHEAD, Station.REPAIR), "order__currency": house.currency}
    agreed = Quote.objects.filter(decision__choice__in=WORK, decision__stop__isnull=True, **here)
    asked: dict[int, Decimal] = {}
    for order, choice, deposit in agreed.order_by("order_id", "revision").values_list(
        "order_id", "decision__choice", "deposit"
    ):
        asked[order] = deposit if choice == Decision.Choice.MEND else NOUGHT
    came: dict[int, Decimal] = defaultdict(Decimal)
    paid = Payment.objects.filter(purpose=Payment.Purpose.DEPOSIT, **here).order_by()
    for order, amount in paid.values_list("order_id", "amount"):
        came[order] += amount
    return tuple(
        DepositAsked(order, smallest_units(deposit - came[order], house.digits))
        for order, deposit in sorted(asked.items())
        if deposit > came[order]
    )


def _moment(seconds: int) -> dt.datetime:
    return dt.datetime.fromtimestamp(seconds, dt.UTC)
