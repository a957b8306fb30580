"""The owner's pages of money: how it stands, and every bill."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from intake.house import house
from quotes.journal import shop_day
from shop.access import now, owner_only
from shop.accounts import queries

A_PAGE, LONGEST_SEARCH = 50, 100


def search_words(request: HttpRequest) -> str:
    """What was typed into the search, made harmless for the database."""
    return request.GET.get("q", "").replace("\x00", "").strip()[:LONGEST_SEARCH]


@never_cache
@require_safe
@owner_only
def overview(request: HttpRequest) -> HttpResponse:
    context = queries.overview(currency=house().currency, on=shop_day(now()))
    return render(request, "shop/accounts/overview.html", context | {"at": now()})


@never_cache
@require_safe
@owner_only
def invoices(request: HttpRequest) -> HttpResponse:
    """Filtered and searched, fifty a page."""
    show, words, today = request.GET.get("show", "all"), search_words(request), shop_day(now())
    show = show if show in queries.FILTERS else "all"
    rows, left = queries.invoices(show=show, words=words, currency=house().currency, on=today)
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": [(row, left.get(row.number), row.number in left and row.due < today) for row in page],
        "show": show,
        "filters": [(key, name, key == show) for key, name in queries.FILTERS.items()],
        "words": words,
        "query": urlencode({"show": show, "q": words}) + "&",
    }
    return render(request, "shop/accounts/invoices.html", context)
