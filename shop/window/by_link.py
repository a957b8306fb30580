"""The customer's way in: every page of the window goes through here."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from intake.models import CustomerLink, Order
from shop.access import LinkGone, order_for_link
from shop.window.forms import LostLinkForm

Page = Callable[..., HttpResponse]


def by_link(view: Callable[..., HttpResponse]) -> Page:
    """Gives the view `order` and `link` of this browser, or answers with the gentle page. Nothing is kept in caches."""

    @wraps(view)
    def guarded(request: HttpRequest, code: str, **more: Any) -> HttpResponse:
        order: Order
        link: CustomerLink
        try:
            order, link = order_for_link(request, code)
        except LinkGone:
            return link_gone(request)
        return private(view(request, order, link, **more))

    return guarded


def link_gone(
    request: HttpRequest, *, form: LostLinkForm | None = None, sent: bool = False, status: int = 404
) -> HttpResponse:
    """The same page for a link that is unknown, out of time, revoked or another's; with a way to a fresh one."""
    context = {"form": form or LostLinkForm(), "sent": sent, "too_often": status == 429}
    return private(render(request, "shop/window/link_gone.html", context, status=status))


def private(response: HttpResponse) -> HttpResponse:
    response.headers["Cache-Control"] = "private, no-store"
    response.headers["X-Robots-Tag"] = "noindex, nofollow"
    return response
