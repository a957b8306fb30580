"""The page of money out and in."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.access import owner_only
from shop.books.page import page

LISTS = {
    "money_in": ("owed-outstanding", "owed-overdue", "owed-week", "owed-deposits-asked", "owed-trade-days"),
    "ages": ("owed-not-due", "owed-1-30", "owed-31-60", "owed-over-60"),
    "money_out": ("owed-refunds", "owed-disputed", "owed-deposits", "owed-tax", "owed-disputes"),
    "building": ("owed-declared", "owed-undeclared", "owed-unclaimed", "owed-work-ahead", "owed-stock-outs"),
    "stock": ("owed-stock", "owed-stock-aside", "owed-stock-risk", "owed-stock-dead", "owed-stock-lost"),
}


@never_cache
@require_safe
@owner_only
def owed(request: HttpRequest) -> HttpResponse:
    """What customers owe, what the shop holds, what lies in its bins and waits on its shelves."""
    return page(request, "owed", "shop/books/owed.html", lists=LISTS)
