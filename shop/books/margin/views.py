"""The page of the margin, and that of one order's."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.access import now, order_for_staff, owner_only
from shop.books.margin import drawn, one_order
from shop.books.page import page

LISTS = {
    "left": ("margin-billed", "margin-cash", "margin-full", "margin-cash-each", "margin-full-each"),
    "hour": ("margin-hour", "margin-hour-undisturbed", "margin-hour-cost", "margin-minutes"),
    "lost": ("margin-lost",),
    "unpaid": ("margin-burden", "margin-burden-each", "margin-warranty", "margin-quoted", "margin-progress"),
}


@never_cache
@require_safe
@owner_only
def margin(request: HttpRequest) -> HttpResponse:
    """What the orders that left have left, and what lost money."""
    sort = request.GET.get("sort", "")
    return page(
        request,
        "margin",
        "shop/books/margin.html",
        lists=LISTS,
        fall=drawn.waterfall,
        month_bars=drawn.months,
        groups=lambda books, _: drawn.groups(books, sort),
    )


@never_cache
@require_safe
@owner_only
def one(request: HttpRequest, code: str) -> HttpResponse:
    """One order from what was billed to what it leaves, each sum with where it comes from."""
    order, at = order_for_staff(code), now()
    found = one_order.steps_of(order, at=at)
    if found is None:
        raise Http404("Not arrived, or in a currency the books are not kept in.")
    return render(request, "shop/books/margin_order.html", {"order": order, "at": at, **drawn.of_one(found)})
