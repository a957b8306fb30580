"""How a customer gets in: the mailed link, and a fresh one when it no longer works."""

import time

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from intake import letters, tokens, visits
from intake.history import in_turn
from intake.models import Order
from shop.access import now
from shop.window.by_link import link_gone, private
from shop.window.forms import LostLinkForm
from shop.window.limits import too_many

MISSES_A_MINUTE = 20
FRESH_LINKS_AN_HOUR = 10
FRESH_LINK_EVERY = 600  # seconds; one letter an order within it, however often it is asked for
SAME_TIME = 0.25  # seconds; a match and a miss take equally long


@require_safe
def open_link(request: HttpRequest, token: str) -> HttpResponse:
    """Swap the mailed token for the session and lead on, so that neither history nor referrer holds it."""
    at = now()
    link = tokens.find_link(token, at=at)
    if link is None:
        often = too_many("link", visits.sender_of(request), most=MISSES_A_MINUTE, seconds=60)
        return link_gone(request, status=429 if often else 404)
    if request.method == "GET":
        # A new key, so that nobody who planted the old one in this browser comes along.
        request.session.cycle_key()
        visits.remember_link(request, link)
        tokens.note_use(link, at=at)
    return private(HttpResponseRedirect(reverse("shop:window", args=[link.order.code]), status=303))


@require_http_methods(["GET", "HEAD", "POST"])
def lost_link(request: HttpRequest) -> HttpResponse:
    """Mail a fresh link if code and address belong together. The answer says the same, as late, either way."""
    if request.method != "POST":
        return link_gone(request, status=200)
    began = time.monotonic()
    form = LostLinkForm(request.POST)
    if not form.is_valid():
        return link_gone(request, form=form, status=422)
    if too_many("fresh-link", visits.sender_of(request), most=FRESH_LINKS_AN_HOUR, seconds=3600):
        return link_gone(request, form=form, status=429)
    post_fresh_link(code=form.cleaned_data["code"], email=form.cleaned_data["email"])
    time.sleep(max(0.0, SAME_TIME - (time.monotonic() - began)))
    return link_gone(request, form=form, sent=True, status=200)


@in_turn
def post_fresh_link(*, code: str, email: str) -> None:
    """Two presses at once are one letter, and no fault by which a stranger could tell that the order exists."""
    order = Order.objects.filter(code=code, customer__email__iexact=email).select_related("customer").first()
    if order is None or order.customer is None:
        return
    at = now()
    letters.post(
        order=order,
        kind="fresh_link",
        key=f"fresh_link:{order.pk}:{int(at.timestamp()) // FRESH_LINK_EVERY}",
        to=order.customer.email,
        context={},
        at=at,
    )
