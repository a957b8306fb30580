"""The owner's pages: the books, the margin as a file."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.access import now, owner_only
from shop.books import cards, queries, reckoning
from shop.books.margin_csv import as_csv
from shop.books.old_periods import CHOICES, Period, period_of


@never_cache
@require_safe
@owner_only
def books(request: HttpRequest) -> HttpResponse:
    period = _period(request)
    gathered = queries.gather(period)
    return render(request, "shop/books/books.html", _about(period) | cards.page(gathered))


@never_cache
@require_safe
@owner_only
def margin_csv(request: HttpRequest) -> HttpResponse:
    period = _period(request)
    gathered = queries.gather(period)
    money = reckoning.margins(gathered)
    body = as_csv([*money.gone, *money.still], currency=gathered.shop.currency)
    answer = HttpResponse("\ufeff" + body, content_type="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="margin-{period.at:%Y-%m-%d}.csv"'
    answer.headers["X-Content-Type-Options"] = "nosniff"
    return answer


def _period(request: HttpRequest) -> Period:
    return period_of(request.GET.get("period", ""), at=now())


def _about(period: Period) -> dict[str, Any]:
    choices = [(key, words, key == period.key) for key, (words, _) in CHOICES.items()]
    return {"period": period, "choices": choices, "at": period.at, "books_url": reverse("shop:books")}
