"""The owner's pages of the bank: a file is looked at and taken in, and a person says what each movement is."""

from collections.abc import Callable

from django.contrib import messages
from django.core.paginator import Paginator
from django.forms import Form, ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from intake import wording
from intake.house import house
from quotes.bank import confirming, importing
from quotes.bank.csv_rows import NeedsLayout
from quotes.bank.movements import Unreadable
from quotes.models import BankLine, BankMatch, Payment
from quotes.refusals import Refused
from shop.access import now, owner_only, person_of
from shop.banking import holding
from shop.banking.forms import ByHandForm, FileForm, HeldForm, ShareForm, WhyForm, started_from
from shop.banking.showing import render_desk

DONE_A_PAGE = 50


@require_safe
@owner_only
def desk(request: HttpRequest) -> HttpResponse:
    return render_desk(request)


@require_POST
@owner_only
def look(request: HttpRequest) -> HttpResponse:
    """What a file would bring; nothing is written but the file itself, for a day."""
    if "digest" in request.POST:
        return _look_again(request)
    form = FileForm(request.POST, request.FILES)
    if not form.is_valid():
        return render_desk(request, file_form=form, status=422)
    data = form.cleaned_data["file"]
    return _looked(
        request, data, HeldForm({"digest": holding.hold(data), "file_name": form.file_name[-200:]})
    )


def _look_again(request: HttpRequest) -> HttpResponse:
    held = HeldForm(request.POST)
    try:
        data = holding.held(request.POST.get("digest", ""))
    except Refused as refusal:
        return _file_refused(request, refusal.sentence)
    return _looked(request, data, held)


def _looked(request: HttpRequest, data: bytes, held: HeldForm) -> HttpResponse:
    if not held.is_valid():
        return _file_refused(request, "Please choose the file again.")
    try:
        seen = importing.look(data=data, layout=held.layout())
    except NeedsLayout as need:
        return _columns(request, need, held)
    except Unreadable as fault:
        return _file_refused(request, *fault.sentences)
    except Refused as refusal:
        return _file_refused(request, refusal.sentence)
    context = {"seen": seen, "held": held, "shown": seen.new[:200], "more": max(len(seen.new) - 200, 0)}
    return render(request, "shop/banking/look.html", context)


def _columns(request: HttpRequest, need: NeedsLayout, held: HeldForm) -> HttpResponse:
    kept = {"digest": held.cleaned_data["digest"], "file_name": held.cleaned_data["file_name"]}
    form = HeldForm(header=list(need.header), initial={**started_from(need.layout), **kept})
    return render(request, "shop/banking/columns.html", {"need": need, "form": form}, status=422)


def _file_refused(request: HttpRequest, *sentences: str) -> HttpResponse:
    form = FileForm({}, {})
    form.is_valid()
    form.errors["file"] = form.error_class(list(sentences))
    return render_desk(request, file_form=form, status=422)


@require_POST
@owner_only
def take_in(request: HttpRequest) -> HttpResponse:
    held = HeldForm(request.POST)
    try:
        data = holding.held(request.POST.get("digest", ""))
        if not held.is_valid():
            raise Refused("Please choose the file again.")
        taken = importing.take_in(
            data=data,
            file_name=held.cleaned_data["file_name"],
            layout=held.layout(),
            by=person_of(request),
            at=now(),
        )
    except Unreadable as fault:
        return _file_refused(request, *fault.sentences)
    except NeedsLayout as need:
        return _columns(request, need, held)
    except Refused as refusal:
        return _file_refused(request, refusal.sentence)
    holding.let_go(held.cleaned_data["digest"])
    new = sum(statement.lines.count() for statement in taken)
    messages.success(request, f"Taken in: {wording.count(new, 'new movement', 'new movements')}.")
    return _to_desk()


def _to_desk(*, following: bool = False) -> HttpResponseRedirect:
    # Without a place in the address: browsers give the keyboard to no field where there is one.
    return HttpResponseRedirect(reverse("shop:bank") + ("?next=1" if following else "#lines"), status=303)


def _line(pk: int) -> BankLine:
    return get_object_or_404(BankLine.objects.select_related("statement"), pk=pk)


def _said(
    request: HttpRequest, line: BankLine, form: Form, name: str, field: str, deed: Callable[[], BankMatch]
) -> HttpResponse:
    """Do it if the form holds and lead to the next line; else the page again, with the sentence beside the field."""
    if form.is_valid():
        try:
            match = deed()
        except confirming.AlreadyMatched as already:
            messages.warning(request, already.sentence)
            return _to_desk()
        except (Refused, ValidationError) as refusal:
            sentence = refusal.sentence if isinstance(refusal, Refused) else refusal.messages[0]
            form.add_error(field if field in form.fields else None, sentence)
        else:
            messages.success(request, _sentence(match))
            return _to_desk(following=True)
    if name == "share":
        return _share_refused(request, form)
    return render_desk(request, at_line=line.pk, forms={name: form}, status=422)


def _share_refused(request: HttpRequest, form: Form) -> HttpResponse:
    """A proposal has no field to stand beside: the sentence is said on top, and the line is still there."""
    sentences = [str(error) for errors in form.errors.values() for error in errors]
    messages.error(request, " ".join(sentences) or "Please press once more.")
    return render_desk(request, status=422)


def _sentence(match: BankMatch) -> str:
    booked = confirming.payments_of(match)
    if not booked:
        return f"Noted: {match.why}"
    said = ", ".join(
        f"{wording.money(row.amount, row.currency, house().locale)} on {row.order.code}" for row in booked
    )
    return f"Matched: {said}."


@require_POST
@owner_only
def confirm(request: HttpRequest, pk: int) -> HttpResponse:
    """A proposal as it was shown."""
    line, form = _line(pk), ShareForm(request.POST)
    by, at = person_of(request), now()

    def deed() -> BankMatch:
        return confirming.confirm(line=line, shares=form.shares(), why=form.cleaned_data["why"], by=by, at=at)

    return _said(request, line, form, "share", "why", deed)


@require_POST
@owner_only
def by_hand(request: HttpRequest, pk: int) -> HttpResponse:
    """Orders a person typed."""
    line = _line(pk)
    form = ByHandForm(
        request.POST, whole=line.amount, currency=line.statement.currency, auto_id=f"hand-{line.pk}-%s"
    )
    by, at = person_of(request), now()

    def deed() -> BankMatch:
        return confirming.confirm(line=line, shares=form.shares(), why="Matched by hand.", by=by, at=at)

    return _said(request, line, form, "by_hand", "orders", deed)


@require_POST
@owner_only
def booked(request: HttpRequest, pk: int) -> HttpResponse:
    """Money that stands on a sheet already."""
    line = _line(pk)
    payment = get_object_or_404(Payment, pk=_number(request.POST.get("payment", "")))
    by, at = person_of(request), now()

    def deed() -> BankMatch:
        return confirming.match_booked(line=line, payment=payment, by=by, at=at)

    return _said(request, line, Form(request.POST), "share", "", deed)


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 18 else 0


@require_POST
@owner_only
def payout(request: HttpRequest, pk: int) -> HttpResponse:
    line, by, at = _line(pk), person_of(request), now()
    return _said(
        request, line, Form(request.POST), "share", "",
        lambda: confirming.card_payout(line=line, by=by, at=at),
    )  # fmt: skip


@require_POST
@owner_only
def not_ours(request: HttpRequest, pk: int) -> HttpResponse:
    line, by, at = _line(pk), person_of(request), now()
    form = WhyForm(request.POST, auto_id=f"why-{line.pk}-%s")

    def deed() -> BankMatch:
        return confirming.not_ours(line=line, why=form.cleaned_data["why"], by=by, at=at)

    return _said(request, line, form, "why", "why", deed)


@require_safe
@owner_only
def done(request: HttpRequest) -> HttpResponse:
    rows = BankMatch.objects.select_related("line__statement", "payment__order", "by").order_by("-at", "-pk")
    page = Paginator(rows, DONE_A_PAGE).get_page(request.GET.get("page"))
    shown = [(match, confirming.payments_of(match)) for match in page]
    return render(request, "shop/banking/done.html", {"page": page, "shown": shown})
