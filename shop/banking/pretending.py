"""The offline provider's own page, for the demonstration: nothing is paid, but its reports take the real way in."""

import datetime as dt
import hashlib
import hmac
import http.client
import secrets
from decimal import Decimal

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from quotes.cards.offline import OfflineProvider, body_of
from quotes.cards.provider import Event, Kind, register
from quotes.models import CardCheckout
from shop.access import now
from shop.demo.pages import demo_only

ACTS: dict[Kind, str] = {
    "paid": "Pretend to pay",
    "failed": "Pretend the card is refused",
    "refunded": "Pretend the shop pays it back",
    "disputed": "Pretend the payer's bank takes it back",
    "dispute_won": "Pretend the shop wins",
    "dispute_lost": "Pretend the shop loses",
}
WAIT_SECONDS = 10


def offline_provider() -> OfflineProvider:
    """Signs with a key of its own, made of the secret of the house."""
    key = hmac.new(settings.SECRET_KEY.encode(), b"offline card provider", hashlib.sha256).digest()
    return OfflineProvider(key=key, page=lambda ident: reverse("shop:card_pretend", args=[ident]))


def register_offline() -> None:
    """Only the demonstration has it: in a real shop anybody could pretend to have paid."""
    if settings.DEMO:
        register(offline_provider())


@demo_only
@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest, ident: str) -> HttpResponse:
    checkout = get_object_or_404(
        CardCheckout.objects.select_related("order"), provider=OfflineProvider.name, ident=ident
    )
    kind = next((kind for kind in ACTS if kind == request.POST.get("kind")), None)
    if request.method == "POST" and kind is not None:
        return _report(request, checkout, kind)
    back = reverse("shop:card_back", args=[checkout.order.code])
    acts = [(kind, words) for kind, words in ACTS.items() if kind not in ("paid", "failed")]
    return render(request, "shop/banking/pretend.html", {"checkout": checkout, "acts": acts, "back": back})


def _report(request: HttpRequest, checkout: CardCheckout, kind: Kind) -> HttpResponse:
    """Post the signed report to the real address, as a provider's server would; then back to the shop."""
    here = reverse("shop:card_pretend", args=[checkout.ident])
    try:
        status = deliver(request.get_host(), _event(checkout, kind), secure=request.is_secure())
    except OSError:
        status = 0
    if status != 200:
        messages.error(
            request, "The report did not arrive. A real provider would send it again; press once more."
        )
        return HttpResponseRedirect(here, status=303)
    if kind in ("paid", "failed"):
        return HttpResponseRedirect(reverse("shop:card_back", args=[checkout.order.code]), status=303)
    messages.success(request, "Reported to the shop.")
    return HttpResponseRedirect(here, status=303)


def _event(checkout: CardCheckout, kind: Kind) -> Event:
    at = now()
    fee = {"paid": checkout.amount * Decimal("0.02"), "disputed": Decimal(15)}.get(kind, Decimal(0))
    return Event(
        # Paying twice on one page is one payment; everything else can happen again.
        ident=f"{kind}-{checkout.ident}" if kind == "paid" else f"{kind}-{secrets.token_hex(8)}",
        kind=kind,
        checkout=checkout.ident,
        amount=checkout.amount,
        currency=checkout.currency,
        at=at,
        fee=fee.quantize(checkout.amount),
        why="The payer says they do not know this payment." if kind == "disputed" else "",
        answer_by=at.date() + dt.timedelta(days=10) if kind == "disputed" else None,
    )


def deliver(host: str, event: Event, *, secure: bool) -> int:
    """Send a signed report to this house over its own address; gives the status. Raises OSError."""
    body = body_of(event)
    make = http.client.HTTPSConnection if secure else http.client.HTTPConnection
    connection = make(host, timeout=WAIT_SECONDS)
    try:
        headers = {**offline_provider().sign(body), "Content-Type": "application/json"}
        connection.request("POST", reverse("shop:card_events", args=[OfflineProvider.name]), body, headers)
        return connection.getresponse().status
    except http.client.HTTPException as fault:
        raise OSError(str(fault)) from fault
    finally:
        connection.close()
