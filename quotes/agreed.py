"""What was agreed: which quote, which of its lines, for how much, with which day and warranty. Reads only."""

import datetime as dt
from decimal import Decimal

from django.db.models import Sum

from intake.models import Order
from intake.money import quantize
from quotes.models import Decision, Quote, QuoteChoice, QuoteLine

# The answers after which the bench begins.
WORK = (Decision.Choice.MEND, Decision.Choice.DATA, Decision.Choice.CLEAN)


def agreed_quote(order: Order) -> Quote | None:
    """The newest quote answered with a yes: what may be worked on and billed."""
    agreed = order.quotes.filter(decision__choice__in=WORK, decision__stop__isnull=True)
    return agreed.select_related("decision").order_by("-revision").first()


def agreed_lines(decision: Decision) -> list[QuoteLine]:
    """The lines of the choice that was taken, with those of the extras that were taken, in their order.

    Of 'first' they are those of the agreement that stands; of an answer without work there are none.
    """
    standing = _standing(decision)
    if standing is None:
        return []
    lines = standing.quote.lines.filter(choice=standing.choice, extra__in=["", *standing.extras])
    return list(lines.select_related("part", "remedy").order_by("number"))


def agreed_total(decision: Decision) -> Decimal:
    """What the answer costs in all, in the quote's currency, extras included."""
    return decision.amount


def choice_row(decision: Decision) -> QuoteChoice | None:
    """The choice as it was offered. None for an answer without work, and for quotes of one choice only."""
    standing = _standing(decision)
    if standing is None:
        return None
    return next((row for row in standing.quote.choices.all() if row.choice == standing.choice), None)


def agreed_promise(decision: Decision) -> dt.date | None:
    """The day that was said with the choice that was taken."""
    row = choice_row(decision)
    return decision.quote.promise if row is None else row.promise


def agreed_warranty_days(decision: Decision) -> int:
    """The warranty that was said with the choice that was taken."""
    row = choice_row(decision)
    return decision.quote.warranty_days if row is None else row.warranty_days


def agreed_no_fix_total(decision: Decision) -> Decimal:
    """What was told to be owed if the work that was chosen comes to nothing."""
    row = choice_row(decision)
    return decision.quote.no_fix_total if row is None else row.no_fix_total


def fee_told(quote: Quote) -> Decimal:
    """The diagnosis fee that the quote says is owed when it is declined; nought where its total waives it, or on a comeback."""
    if quote.order.comeback_of_id is not None:
        return Decimal(0)
    above = quote.rates.fee_waived_above
    return Decimal(0) if above is not None and quote.total > above else quote.rates.declined_fee


def deposit_asked(order: Order) -> Decimal:
    """The deposit that the agreement asks for, in the order's currency; nought where it asks for none."""
    quote = agreed_quote(order)
    asked = quote is not None and quote.decision.choice == Decision.Choice.MEND
    return quantize(quote.deposit if asked and quote else Decimal(0), order.currency)


def deposit_paid(order: Order) -> Decimal:
    """Deposits that came, less those that went back."""
    paid = order.payments.filter(purpose="deposit").aggregate(sum=Sum("amount"))["sum"]
    return quantize(paid or Decimal(0), order.currency)


def _standing(decision: Decision) -> Decision | None:
    if decision.choice in WORK:
        return decision
    if decision.choice != Decision.Choice.FIRST:
        return None
    quote = agreed_quote(decision.quote.order)
    return None if quote is None else quote.decision
