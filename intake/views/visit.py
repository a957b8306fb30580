"""One visit to the request: which draft it is about, and what goes back to the browser."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import cache_control

from intake import drafting, drain, tokens
from intake.models import Draft, Letterhead, Order
from intake.visits import remember_link, sender_of

COOKIE = "draft"
TOKEN_FIELD, TRAP_FIELD = "draft", "reference"  # noqa: S105 -- names of form fields, no secrets
SEE_OTHER = 303
TOP = "#top"  # a redirect without a mark of its own would inherit the one of the sent form


@dataclass
class Visit:
    request: HttpRequest
    head: Letterhead
    at: dt.datetime
    draft: Draft | None = None
    token: str = ""

    @property
    def sent(self) -> Order | None:
        return drafting.order_of(self.draft) if self.draft is not None else None

    def start(self) -> Draft:
        """The draft of this visit, begun now if there is none. Raises Refused over the day's limit."""
        if self.draft is None:
            self.draft, self.token = drafting.start(sender=sender_of(self.request), at=self.at)
        return self.draft

    def page(self, template: str, context: dict[str, Any], status: int = 200) -> HttpResponse:
        return self.marked(render(self.request, template, context, status=status))

    def to(self, url: str) -> HttpResponse:
        return self.marked(see_other(url))

    def to_step(self, slug: str, *, mark: str = "#here") -> HttpResponse:
        return self.to(reverse("intake:step", args=[slug]) + mark)

    def marked(self, response: HttpResponse) -> HttpResponse:
        if self.token:
            set_cookie(response, self.token)
        return response

    def to_window(self, order: Order) -> HttpResponse:
        """On to the window of the order that this request became."""
        remember_link(self.request, tokens.give_link(order, at=self.at))
        return see_other(f"{settings.CUSTOMER_WINDOW_PATH}{order.code}/{TOP}")


View = Callable[..., HttpResponse]


def with_visit(view: View) -> View:
    """Hands a `Visit` to the view. The draft named in a sent form goes before the cookie's: it is the one on the screen."""

    @cache_control(private=True, no_store=True)
    @wraps(view)
    def visited(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        head = Letterhead.objects.order_by("-version").first()
        if head is None:
            return render(request, "503.html", status=503)
        visit = Visit(request, head, drain.now())
        for token in (request.POST.get(TOKEN_FIELD, ""), request.COOKIES.get(cookie_name(), "")):
            draft = drafting.find(token, at=visit.at)
            if draft is not None:
                visit.draft, visit.token = draft, token
                break
        return view(visit, *args, **kwargs)

    return visited


def cookie_name() -> str:
    return f"__Host-{COOKIE}" if settings.SECURE_SITE else COOKIE


def set_cookie(response: HttpResponse, token: str) -> None:
    response.set_cookie(
        cookie_name(),
        token,
        max_age=drafting.LIFE,
        httponly=True,
        samesite="Lax",
        secure=settings.SECURE_SITE,
        path="/",
    )


def see_other(url: str) -> HttpResponse:
    """303: the browser goes on by GET, whatever was sent."""
    response = HttpResponseRedirect(url)
    response.status_code = SEE_OTHER
    return response
