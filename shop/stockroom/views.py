"""The stock: the ledger by bin, one part with its moves, and what changes them."""

import secrets
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from intake.house import house
from intake.lifecycle import staff
from intake.refusals import Refused
from quotes import lots, stock
from quotes.models import Part
from shop.access import now, person_of, staff_only
from shop.office.price_pages import part_price
from shop.stockroom import lot_rows, queries, register
from shop.stockroom import lots as stock_lots
from shop.stockroom.forms import CountForm, DescribeForm, NewPartForm, ReceiveForm

LONGEST_SEARCH = 100
DESCRIBED = (
    "name", "fits", "bin", "list_price", "minimum_price", "tax_kind", "special", "reorder_at", "active",
)  # fmt: skip
SUMS = ("list_price", "minimum_price")


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 19 else 0


@require_safe
@staff_only
def ledger(request: HttpRequest) -> HttpResponse:
    """A number that is typed or scanned whole leads straight to its part."""
    words = request.GET.get("q", "").replace("\x00", "").strip()[:LONGEST_SEARCH]
    if words and (exact := Part.objects.filter(number__iexact=words).first()):
        return HttpResponseRedirect(reverse("shop:part", args=[exact.pk]))
    if words and (lot := lots.lot_meant(words)):
        return HttpResponseRedirect(reverse("shop:lot", args=[lot.pk]))
    retired, after = request.GET.get("retired") == "1", _number(request.GET.get("after", ""))
    page = queries.ledger(words=words, retired=retired, after=after)
    first = not words and not after
    context = {
        "words": words,
        "retired": retired,
        "page": page,
        "currency": house().currency,
        "is_owner": person_of(request).is_owner,
        "short": queries.short_now() if first else [],
        "low": queries.running_low() if first else [],
    }
    return render(request, "shop/stock.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@staff_only
def new_part(request: HttpRequest) -> HttpResponse:
    """The form, and on a post the part."""
    form = NewPartForm(request.POST or None, currency=house().currency, owner=person_of(request).is_owner)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            part = register.add_part(
                number=given["number"], condition=given["condition"], described=form.described(),
                by=person_of(request), at=now(),
            )  # fmt: skip
        except Refused as refusal:
            form.add_error(refusal.field, refusal.sentence)
        else:
            messages.success(request, f"{part.number} is in the stock. Its bin is empty: receive some.")
            return HttpResponseRedirect(reverse("shop:part", args=[part.pk]), status=303)
    return render(request, "shop/stock_new.html", {"form": form}, status=422 if form.errors else 200)


@require_safe
@staff_only
def part(request: HttpRequest, pk: int) -> HttpResponse:
    return _part_page(request, get_object_or_404(Part, pk=pk))


def _part_page(
    request: HttpRequest, row: Part, *, forms: dict[str, Form] | None = None, status: int = 200
) -> HttpResponse:
    given, before = forms or {}, _number(request.GET.get("before", ""))
    moves, older = queries.moves_of(row, before=before)
    currency = house().currency
    known = {name: getattr(row, name) for name in DESCRIBED}
    known |= {name: "" if known[name] is None else f"{known[name].normalize():f}" for name in SUMS}
    owner = person_of(request).is_owner
    context = {
        "part": row,
        "moves": moves,
        "lots": lot_rows.lots_of(row),
        "barred": lots.barred(row),
        "suppliers": queries.suppliers(),
        "older": older,
        "before": before,
        "currency": currency,
        "is_owner": owner,
        "sells": part_price(row) if owner else None,
        "errors_present": any(form.errors for form in given.values()),
        "receive_form": given.get("receive") or ReceiveForm(currency=currency, initial={"key": _new_key()}),
        "count_form": given.get("count") or CountForm(part=row, initial={"key": _new_key()}),
        "describe_form": given.get("describe") or DescribeForm(currency=currency, owner=owner, initial=known),
    }
    return render(request, "shop/stock_part.html", context, status=status)


def _new_key() -> str:
    return secrets.token_urlsafe(24)


def _done(
    request: HttpRequest, row: Part, form: Form, name: str, deed: Callable[[dict[str, Any]], str]
) -> HttpResponse:
    """Do it if the form holds, and go back to the part; else the page with the sentence beside the field (422)."""
    if form.is_valid():
        try:
            said = deed(form.cleaned_data)
        except Refused as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
        else:
            messages.success(request, said)
            return HttpResponseRedirect(reverse("shop:part", args=[row.pk]), status=303)
    row.refresh_from_db()
    return _part_page(request, row, forms={name: form}, status=422)


@require_POST
@staff_only
def receive(request: HttpRequest, pk: int) -> HttpResponse:
    """Pieces that came in, as a lot of their own; their cost goes into the moving average."""
    row, by, at = get_object_or_404(Part, pk=pk), person_of(request), now()

    def deed(given: dict[str, Any]) -> str:
        lot = stock_lots.receive_lot(part=row, **given, by=by, at=at)
        return f"{given['quantity']} received into bin {row.bin or 'without a name'} as lot {lot.number}. Print its label below."

    form = ReceiveForm(request.POST, currency=house().currency)
    return _done(request, row, form, "receive", deed)


@require_POST
@staff_only
def count(request: HttpRequest, pk: int) -> HttpResponse:
    """What was counted; a difference is a move with its reason."""
    row, by, at = get_object_or_404(Part, pk=pk), staff(person_of(request)), now()

    def deed(given: dict[str, Any]) -> str:
        move = stock.count(part=row, **given, by=by, at=at)
        return (
            "Counted, and it agrees." if move is None else f"Counted: {move.on_hand_change:+d} written down."
        )

    return _done(request, row, CountForm(request.POST, part=row), "count", deed)


@require_POST
@staff_only
def describe(request: HttpRequest, pk: int) -> HttpResponse:
    """What the part is called, fits, where it lies and sells for."""
    row, by, at = get_object_or_404(Part, pk=pk), person_of(request), now()
    form = DescribeForm(request.POST, currency=house().currency, owner=by.is_owner)

    def deed(given: dict[str, Any]) -> str:
        register.change_part(part=row, described=form.described(row), by=by, at=at)
        return "Changed. Quotes that were sent keep the price they had."

    return _done(request, row, form, "describe", deed)
