"""The orders behind a figure of the books."""

import datetime as dt
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from intake.models import Order
from shop.access import now, owner_only
from shop.books import finding
from shop.books.lines import Books
from shop.books.periods import CHOICES
from shop.books.places import places

A_PAGE = 50


@never_cache
@require_safe
@owner_only
def orders(request: HttpRequest) -> HttpResponse:
    """50 a page, the latest first."""
    figure = request.GET.get("figure", "arrived")
    books = finding.open_period(request.GET.get("period", ""), at=now())
    if (found := finding.behind(figure, books)) is None:
        raise Http404("No such figure.")
    name, pks = found
    rows, last = page_of(pks, request.GET.get("before", ""))
    more = {"figure": figure, "period": books.window.key, "before": last} if last else None
    context = {
        "name": name, "count": len(set(pks)), "orders": rows, "figure": figure,
        "more": f"?{urlencode(more)}" if more else "", "back": _back(figure, books),
    }  # fmt: skip
    return render(request, "shop/books/orders.html", about(books) | context)


def page_of(pks: tuple[int, ...], before: str) -> tuple[list[Order], int]:
    """The orders of a page below the pk it was asked to begin under, and the pk the next begins under, 0 for none. One query."""
    highest = int(before[:18]) if before.isdecimal() else 10**18
    rest = sorted({pk for pk in pks if pk < highest}, reverse=True)
    shown = rest[:A_PAGE]
    rows = Order.objects.select_related("customer", "device").in_bulk(shown)
    return [rows[pk] for pk in shown if pk in rows], shown[-1] if len(rest) > A_PAGE else 0


def _back(figure: str, books: Books) -> tuple[str, str]:
    """Words and address of the page the figure stands on, at the figure; of the week for anything else."""
    if (part := finding.page_of(figure)) is None:
        return "the books", reverse("shop:books")
    return part.name.lower(), f"{reverse(part.url)}?{urlencode({'period': books.window.key})}#{figure}"


def about(books: Books) -> dict[str, Any]:
    """What the head of each page of the books needs."""
    choices = [(key, words, key == books.window.key) for key, (words, _) in CHOICES.items()]
    at = dt.datetime.fromtimestamp(books.now, books.house.zone)
    return {
        "period": books.window,
        "choices": choices,
        "at": at,
        "foreign": books.foreign,
        "places": places(),
    }
