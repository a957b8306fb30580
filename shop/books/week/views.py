"""The first page of the books."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.access import now, owner_only
from shop.books.week.page import context, gathered
from shop.running import glance


@never_cache
@require_safe
@owner_only
def week(request: HttpRequest) -> HttpResponse:
    """What the owner reads in two minutes."""
    at = now()
    shown = {**context(gathered(at=at)), "red": glance.red(at)}
    return render(request, "shop/books/week.html", shown)
