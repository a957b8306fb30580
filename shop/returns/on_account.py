"""Which parcels of trade customers may leave before they are paid: those that go where the customer is known to be."""

from collections.abc import Collection, Iterable

from django.db.models import Min, Q

from intake.models import Order
from quotes.trade_terms import goes_on_account

Place = tuple[str, ...]
LINES = tuple(f"return_address__{line}" for line in ("street", "city", "area", "postcode", "country"))


def on_account(orders: Iterable[Order]) -> set[int]:
    """The keys of those that may leave unpaid. `orders` should have `customer__trade_account` selected; three queries.

    Anybody can type a company's name, mail and phone into the public form, with an address of their own. So the parcel
    must go to the address of the customer's first order, by which the shop came to know them, or to one that a parcel
    of theirs went to before. To any other address a person lets it go.
    """
    trade = {order.pk: order.customer_id for order in orders if goes_on_account(order.customer)}
    if not trade:
        return set()
    known = _known({customer for customer in trade.values() if customer is not None})
    here = Order.objects.filter(pk__in=trade).values_list("pk", *LINES)
    return {pk for pk, *lines in here if (trade[pk], _place(lines)) in known}


def may_go_on_account(order: Order) -> bool:
    return order.pk in on_account([order])


def _known(customers: Collection[int]) -> set[tuple[int | None, Place]]:
    """Each customer with each place that is known to be theirs."""
    theirs = Order.objects.filter(customer_id__in=customers).order_by()
    firsts = theirs.values("customer_id").annotate(first=Min("pk")).values_list("first", flat=True)
    rows = theirs.filter(Q(pk__in=list(firsts)) | Q(sent_at__isnull=False))
    return {
        (customer, _place(lines)) for customer, *lines in rows.values_list("customer_id", *LINES).distinct()
    }


def _place(lines: Iterable[str | None]) -> Place:
    """What makes two addresses one place: large and small letters and blanks do not count, nor whose name stands there."""
    return tuple(" ".join((line or "").casefold().split()) for line in lines)
