"""The owner's pages of the books: the journal of a period, closing days for good, the proof."""

from collections.abc import Iterable

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from intake import wording
from quotes import closing as closings
from quotes import proof as proofs
from quotes.journal import closed_upto, shop_day
from quotes.models import Closing, Entry
from quotes.refusals import Refused
from shop.access import now, owner_only, person_of
from shop.accounts import journal_rows
from shop.accounts.forms import ClosingForm, PeriodForm

A_PAGE = 50


@never_cache
@require_safe
@owner_only
def journal(request: HttpRequest) -> HttpResponse:
    """Fifty entries a page; a period that does not hold is said, and this month is shown."""
    form = PeriodForm(request.GET, today=shop_day(now()))
    since, upto = form.period()
    entries = Entry.objects.filter(day__range=(since, upto)).order_by("number")
    page = Paginator(entries.select_related("order").prefetch_related("postings"), A_PAGE).get_page(
        request.GET.get("page")
    )
    query = urlencode({"since": since.isoformat(), "upto": upto.isoformat()})
    context = {
        "form": form, "since": since, "upto": upto, "page": page, "sums": journal_rows.sums(since, upto), "query": f"{query}&",
        "files": query, "entries": _with_rows(page),
    }  # fmt: skip
    return render(request, "shop/accounts/journal.html", context, status=422 if form.errors else 200)


def _with_rows(entries: Iterable[Entry]) -> list[tuple[Entry, list[journal_rows.Row]]]:
    zone = timezone.get_current_timezone()
    return [(entry, list(journal_rows.rows(entry.postings.all(), zone=zone))) for entry in entries]


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@owner_only
def closing(request: HttpRequest) -> HttpResponse:
    """A day in the address shows what would be closed; only the post closes."""
    given = request.POST if request.method == "POST" else None
    form = ClosingForm(given, initial={"upto": request.GET.get("upto", "")})
    if request.method == "POST" and form.is_valid():
        try:
            row = closings.close(upto=form.cleaned_data["upto"], by=person_of(request), at=now())
        except Refused as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
        else:
            messages.success(request, f"The books are closed up to {wording.day_year(row.upto)}.")
            return HttpResponseRedirect(reverse("shop:closing"), status=303)
    context = _preview(request) | {
        "form": form,
        "last": closed_upto(),
        "rows": Closing.objects.select_related("by").order_by("-upto")[:A_PAGE],
    }
    return render(request, "shop/accounts/closing.html", context, status=422 if form.errors else 200)


def _preview(request: HttpRequest) -> dict[str, object]:
    """The sums up to the day that was asked for; nothing for no day or a wrong one."""
    asked = ClosingForm({"upto": request.POST.get("upto") or request.GET.get("upto", ""), "sure": "on"})
    if not asked.is_valid():
        bad = asked.errors.get("upto", []) if request.GET.get("upto") else []
        return {"preview": None, "bad_day": list(bad)}
    upto = asked.cleaned_data["upto"]
    try:
        closings.check_day(upto, at=now())
    except Refused as refusal:
        return {"preview": None, "bad_day": [refusal.sentence]}
    return {
        "preview": upto,
        "sums": journal_rows.sums(upto.min, upto),
        "entries": Entry.objects.filter(day__lte=upto).count(),
    }


@never_cache
@require_safe
@owner_only
def proof(request: HttpRequest) -> HttpResponse:
    """Recounts everything when asked to; it takes a while in a shop of many years."""
    run = request.GET.get("run") == "1"
    context = {
        "run": run,
        "faults": proofs.prove() if run else [],
        "at": now(),
        "entries": Entry.objects.count(),
    }
    return render(request, "shop/accounts/proof.html", context)
