"""The page of the margin, and that of one order's."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from intake.models import Order
from intake.refusals import Refused
from shop.access import now, order_for_staff, owner_only, person_of
from shop.books.margin import drawn, one_order
from shop.books.margin.forms import CostForm
from shop.books.page import page
from shop.returns.costs import add_cost

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
    order = order_for_staff(code)
    return _shown(request, order, CostForm(currency=order.currency))


@never_cache
@require_POST
@owner_only
def cost(request: HttpRequest, code: str) -> HttpResponse:
    """Write down what an order cost beside parts, post and fees."""
    order = order_for_staff(code)
    form = CostForm(request.POST, currency=order.currency)
    if form.is_valid():
        try:
            add_cost(order=order, by=person_of(request), at=now(), **form.cleaned_data)
        except Refused as refusal:
            form.add_error(refusal.field or None, refusal.sentence)
        else:
            messages.success(request, "Written down as a loss of this order.")
            return redirect("shop:books_margin_order", code=order.code)
    return _shown(request, order, form, status=400)


def _shown(request: HttpRequest, order: Order, form: CostForm, *, status: int = 200) -> HttpResponse:
    at = now()
    found = one_order.steps_of(order, at=at)
    if found is None:
        raise Http404("Not arrived, or in a currency the books are not kept in.")
    context = {"order": order, "at": at, "form": form, **drawn.of_one(found)}
    return render(request, "shop/books/margin_order.html", context, status=status)
