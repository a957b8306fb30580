"""The customer's way to pay by card: a button, a page that says where they go, and the way back."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from intake.models import CustomerLink, Order
from quotes.cards.paying import provider_in_use, set_out, to_pay
from quotes.cards.waiting import paid_already
from quotes.refusals import Refused
from shop.access import now
from shop.window.by_link import by_link
from shop.window.limits import too_many

PAGES_AN_HOUR = 20


def pay_context(order: Order) -> dict[str, Any]:
    """For shop/banking/pay_button.html: `card` = {url, amount} where a card can pay now, else None."""
    if provider_in_use() is None:
        return {"card": None}
    amount, _ = to_pay(order)
    address = reverse("shop:pay_by_card", args=[order.code])
    return {"card": {"url": address, "amount": amount} if amount > 0 else None}


@require_POST
@by_link
def pay(request: HttpRequest, order: Order, link: CustomerLink) -> HttpResponse:
    """Open a page at the provider and show where it is. A link leads there, not a form: forms stay within this house."""
    if too_many("card", str(link.pk), most=PAGES_AN_HOUR, seconds=3600):
        return _going(
            request, order, said="These are very many tries in one hour. Please ring us, or wait a little."
        )
    back = request.build_absolute_uri(reverse("shop:card_back", args=[order.code]))
    amount, _ = to_pay(order)
    try:
        address = set_out(order=order, back=back, at=now())
    except Refused as refusal:
        return _going(request, order, said=refusal.sentence)
    return _going(request, order, address=address, amount=amount)


def _going(request: HttpRequest, order: Order, *, said: str = "", **more: Any) -> HttpResponse:
    context = {"order": order, "said": said, **more}
    return render(request, "shop/banking/going.html", context, status=409 if said else 200)


@require_safe
@by_link
def back(request: HttpRequest, order: Order, link: CustomerLink) -> HttpResponse:
    """They are back. Whether it is paid says the provider's report, not this address."""
    newest = order.card_checkouts.order_by("-at", "-pk").first()
    booked = newest is not None and paid_already([newest])
    return render(request, "shop/banking/back.html", {"order": order, "booked": booked})
