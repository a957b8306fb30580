"""The owner's pages of the trade: who buys on account, on what terms, what they owe, and their statements."""

import datetime as dt
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from intake.house import house
from intake.models import Customer, Letterhead, Paper
from quotes import receivables, trade_accounts
from quotes import statements as writing
from quotes.journal import shop_day
from quotes.models import Statement
from quotes.refusals import Refused
from quotes.statement_maker import paper_of
from quotes.trade_terms import certificate_holds, terms_of
from shop.access import now, owner_only, person_of
from shop.accounts import queries
from shop.accounts.forms import StatementForm, TermsForm
from shop.accounts.views import A_PAGE, search_words
from shop.office.editing import Page, edit

require_form = require_http_methods(["GET", "HEAD", "POST"])


@never_cache
@require_safe
@owner_only
def customers(request: HttpRequest) -> HttpResponse:
    """Those of the trade; a search finds others, to be marked."""
    words, today = search_words(request), shop_day(now())
    rows = queries.trade_customers(currency=house().currency, on=today)
    for row in rows:
        account = row["account"]
        row["expired"] = bool(account and account.certificate and not certificate_holds(account, on=today))
    found = queries.consumers(words)
    context = {"rows": rows, "words": words, "found": found, "currency": house().currency}
    return render(request, "shop/accounts/trade.html", context)


@never_cache
@require_form
@owner_only
def customer(request: HttpRequest, pk: int) -> HttpResponse:
    """Terms of one customer; saving them makes the customer one of the trade."""
    row = get_object_or_404(Customer.objects.select_related("trade_account__tier"), pk=pk)
    form = TermsForm(
        request.POST if request.method == "POST" else None, account=getattr(row, "trade_account", None)
    )
    page = Page(
        row.name,
        "Bills that were issued keep the terms of their day." if row.trade else "Saving makes this customer one of the trade.",
        reverse("shop:trade_customers"), act="Save" if row.trade else "Make it a trade customer",
        saved="Saved. It holds from the next bill on.", template="shop/accounts/customer.html", more=_about(row),
    )  # fmt: skip
    return edit(
        request, page, form,
        lambda given: trade_accounts.set_terms(customer=row, given=form.terms(), by=person_of(request), at=now()),
    )  # fmt: skip


def _about(row: Customer) -> dict[str, Any]:
    currency, today = house().currency, shop_day(now())
    bills = receivables.bills_left(currency=currency, customer=row)
    written = list(Statement.objects.filter(account__customer=row).order_by("-month")[:A_PAGE])
    known = {statement.month for statement in written}
    return {
        "customer": row,
        "terms": terms_of(row, on=today),
        "owed": queries.owed(bills, on=today),
        "bills": [(bill, bill.days_old(today), bill.days_late(today)) for bill in bills],
        "statements": written,
        "months": [month for month in writing.months_of(row, at=now()) if month not in known],
        "currency": currency,
    }


@require_POST
@owner_only
def end(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Customer, pk=pk)
    try:
        trade_accounts.end_terms(customer=row, by=person_of(request), at=now())
    except Refused as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(
            request, f"{row.name} is a consumer from now on. Bills that were issued stay as they are."
        )
    return HttpResponseRedirect(reverse("shop:trade_customers"), status=303)


@never_cache
@require_form
@owner_only
def statement(request: HttpRequest, pk: int) -> HttpResponse:
    """A month as it would be written, and the post that writes and sends it; or the one that was."""
    row, month = get_object_or_404(Customer, pk=pk), _month(request)
    form = StatementForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            made = writing.send_statement(
                customer=row, month=month, say_interest=form.cleaned_data["say_interest"],
                by=person_of(request), at=now(),
            )  # fmt: skip
        except Refused as refusal:
            form.add_error(None, refusal.sentence)
        else:
            where = (
                f"It goes to {row.email}."
                if row.email
                else "There is no e-mail address: print it and post it."
            )
            messages.success(request, f"{made.number} is written. {where}")
            return HttpResponseRedirect(f"{request.path}?month={month:%Y-%m}", status=303)
    context = _written(row, month) or _preview(row, month)
    status = 422 if form.errors else 200
    more = {"customer": row, "month": month, "form": form}
    return render(request, "shop/accounts/statement.html", context | more, status=status)


def _month(request: HttpRequest) -> dt.date:
    """The month of the address, such as 2026-01."""
    try:
        month = dt.datetime.strptime(request.GET.get("month", ""), "%Y-%m").replace(tzinfo=dt.UTC).date()
    except ValueError:
        raise Http404("No such month.") from None
    if not 2000 <= month.year <= 2200:
        raise Http404("No such month.")
    return month


def _written(row: Customer, month: dt.date) -> dict[str, Any] | None:
    known = (
        Statement.objects.select_related("letterhead", "by")
        .filter(account__customer=row, month=month)
        .first()
    )
    if known is None:
        return None
    return {
        "statement": known,
        "sheet": paper_of(known),
        "currency": known.currency,
        "paper": Paper.objects.filter(key=f"statement:{known.pk}").first(),
    }


def _preview(row: Customer, month: dt.date) -> dict[str, Any]:
    if not row.trade:
        raise Http404("Statements are for customers of the trade.")
    sheet = writing.sheet_of(row, month)
    draft = Statement(
        month=month, letterhead=Letterhead.current(), currency=sheet.currency, at=now(),
        shown=writing.shown(sheet, writing.plain_account(row), number="", say_interest=False),
    )  # fmt: skip
    return {
        "statement": None,
        "sheet": paper_of(draft),
        "draft": sheet,
        "percent": f"{sheet.interest_percent.normalize():f}",
        "currency": sheet.currency,
        "why_not": writing.why_not_yet(sheet, at=now()),
    }


@never_cache
@require_safe
@owner_only
def statements(request: HttpRequest) -> HttpResponse:
    rows = Statement.objects.select_related("account__customer").order_by("-month", "-pk")
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    return render(request, "shop/accounts/statements.html", {"page": page})
