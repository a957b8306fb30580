"""Who may come in, and which order they came for. Staff by sign-in; customers by their link."""

import datetime as dt
from collections.abc import Callable
from functools import wraps
from http import HTTPStatus
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.http import urlencode

from intake import drain, visits
from intake.models import CustomerLink, Order, Person
from shop.bench import work
from shop.doors.sessions import owing
from shop.office.kept import keep_post

View = Callable[..., HttpResponse]


def now() -> dt.datetime:
    """The one clock of the views: aware, UTC."""
    return drain.now()


def staff_only(view: View) -> View:
    """Lets staff in; anybody else is asked to sign in, and a post they were just sending is kept for them.

    A post to a sheet that was done is a deed there, by button or by script: minutes that run on it are not idle.
    """

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not isinstance(request.user, Person) or not request.user.is_active:
            return _ask_to_sign_in(request)
        answer = view(request, *args, **kwargs)
        if request.method == "POST" and kwargs.get("code") and answer.status_code < HTTPStatus.BAD_REQUEST:
            work.touch(request.user, now(), code=kwargs["code"])
        return answer

    return guarded


def owner_only(view: View) -> View:
    """Lets the owner in. A technician gets the page that says so (403)."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not person_of(request).is_owner:
            raise PermissionDenied
        return view(request, *args, **kwargs)

    return staff_only(guarded)


def person_of(request: HttpRequest) -> Person:
    """The member of staff behind a request that `staff_only` let in."""
    if not isinstance(request.user, Person):
        raise PermissionDenied
    return request.user


def order_for_staff(code: str) -> Order:
    """The order of a code as the `code` converter gives it, with what its stub shows. Raises Http404."""
    rows = Order.objects.select_related(
        "customer", "device", "return_address", "comeback_of", "arrival", "arrival__received_by"
    )
    return get_object_or_404(rows, code=code)


def _ask_to_sign_in(request: HttpRequest) -> HttpResponse:
    if request.method == "POST":
        keep_post(request)
        back = reverse("shop:kept")
    else:
        back = request.get_full_path()
    door = "shop:second_step" if owing(request) else "shop:sign_in"
    return HttpResponseRedirect(f"{reverse(door)}?{urlencode({'next': back})}")


class LinkGone(Exception):
    """This browser holds no live link to that order; nobody learns whether there is such an order."""


def order_for_link(request: HttpRequest, code: str) -> tuple[Order, CustomerLink]:
    """The order whose link this browser opened. Raises LinkGone for no link, a dead one, or one to another order."""
    link = visits.link_from(request, code, at=now())
    if link is None:
        raise LinkGone
    rows = Order.objects.select_related("device", "customer", "arrival", "parcel", "warranty")
    return rows.get(pk=link.order_id), link
