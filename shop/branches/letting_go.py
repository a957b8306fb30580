"""No more work is done on an order: what waited for the work is let go."""

import datetime as dt

from intake import lifecycle
from intake.history import in_turn
from intake.lifecycle import staff
from intake.models import Order, Person
from intake.stations import SlipReason
from quotes import offers, stock
from quotes.models import QuoteEnd
from shop.bench import work


@in_turn
def let_everything_go(*, order: Order, why: str, by: Person, at: dt.datetime) -> None:
    """Minutes stop, parts go back into their bins, slips come off, open quotes and tests end."""
    work.close_for(order, by=by, at=at)
    stock.release_all(order=order, why=why, by=staff(by), at=at)
    for waits in (SlipReason.PART, SlipReason.PAYMENT):
        lifecycle.release(order, reason=waits, by=staff(by), at=at)
    for quote in order.quotes.filter(end__isnull=True):
        offers.end_quote(quote, why=QuoteEnd.Why.WITHDRAWN, at=at)
    order.test_runs.filter(signed_at__isnull=True).update(signed_at=at, passed=False)
