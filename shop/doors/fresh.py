"""Asks for the own password again before what a stranger at an open screen must not do.

Ten minutes as common practice, no source; that such acts ask again is OWASP ASVS 5.0, 7.5.1 and 7.5.3 (from memory).
"""

import datetime as dt
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.http import urlencode

from intake import drain
from shop.office.kept import keep_post

View = Callable[..., HttpResponse]
FRESH = dt.timedelta(minutes=10)
PROVED_AT = "password_proved_at"


def prove(request: HttpRequest) -> None:
    """Note in the session that its person has just typed the own password."""
    request.session[PROVED_AT] = drain.now().timestamp()


def is_fresh(request: HttpRequest) -> bool:
    """Whether the password was typed in the last ten minutes. A session that says nothing of it is not fresh."""
    told = request.session.get(PROVED_AT)
    if not isinstance(told, int | float):
        return False
    age = drain.now().timestamp() - told
    return 0 <= age <= FRESH.total_seconds()


def fresh_only(view: View) -> View:
    """Below `owner_only` or `staff_only`: leads to the page that asks for the password again; a post is kept meanwhile."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if is_fresh(request):
            return view(request, *args, **kwargs)
        back = request.get_full_path()
        if request.method == "POST":
            keep_post(request)
            back = reverse("shop:kept")
        return HttpResponseRedirect(
            f"{reverse('shop:sign_in_again')}?{urlencode({'next': back})}", status=303
        )

    return guarded
