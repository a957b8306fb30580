"""Posts at 40: what it costs."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from intake.lifecycle import SheetMoved
from intake.models import Order
from intake.stations import Station
from quotes import diagnosis, draft_lines
from quotes.drafts import draft_of
from quotes.models import QuoteDraft, Rates
from shop.access import now, order_for_staff, person_of, staff_only
from shop.bench import kept_text
from shop.traveller.acting import acted, seen_version, to_sheet
from shop.traveller.forms.quote import (
    LineForm,
    OtherForm,
    PartForm,
    PressForm,
    RemedyForm,
    SendForm,
    WordsForm,
)
from shop.traveller.quoting import as_shown, limit_words, moved_words, send_as_seen, worked_out


@require_POST
@staff_only
def add_remedy(request: HttpRequest, code: str) -> HttpResponse:
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        remedy = draft_lines.remedy_meant(given["remedy"])
        line = {
            "kind": "labour",
            "remedy": remedy.pk,
            "quantity": "1",
            **_set(given, "minutes", "price", "choice"),
        }
        draft_lines.add(order=order, seen=given["draft"], line=line, at=at)
        return f"Added: {remedy.name}."

    form = RemedyForm(request.POST, currency=order.currency, further="choice" in request.POST)
    return acted(request, order, form, deed, name="remedy", at="lines")


@require_POST
@staff_only
def add_part(request: HttpRequest, code: str) -> HttpResponse:
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        part = draft_lines.part_meant(given["part"])
        line = {
            "kind": "part",
            "part": part.pk,
            "quantity": str(int(given["quantity"])),
            **_set(given, "price", "choice"),
        }
        draft_lines.add(order=order, seen=given["draft"], line=line, at=at)
        return f"Added: {part.number} {part.name}. {part.free} free in bin {part.bin or 'without a name'}."

    form = PartForm(request.POST, currency=order.currency, further="choice" in request.POST)
    return acted(request, order, form, deed, name="part", at="lines")


@require_POST
@staff_only
def add_other(request: HttpRequest, code: str) -> HttpResponse:
    """Rush, fee, medium, other work. A rush without a price has the price of the rates."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        if given["kind"] == "rush" and given["price"] is None:
            given["price"] = Rates.current().rush_fee or None
        line = {
            "kind": given["kind"],
            "text": given["text"],
            "quantity": f"{given['quantity'].normalize():f}",
            "still_charged": given["still_charged"],
            **_set(given, "price", "choice"),
        }
        draft_lines.add(order=order, seen=given["draft"], line=line, at=at)
        return f"Added: {given['text']}."

    form = OtherForm(request.POST, currency=order.currency, further="choice" in request.POST)
    return acted(request, order, form, deed, name="other", at="lines")


def _set(given: dict[str, Any], *names: str) -> dict[str, Any]:
    """Of these, what was filled in; money as text, so that a draft stays plain JSON."""
    filled = {name: given[name] for name in names if given.get(name) not in (None, "")}
    return {name: str(value) if name == "price" else value for name, value in filled.items()}


def _extra(given: dict[str, Any], order: Order, number: int) -> str:
    """The name of the optional extra; one that is not named has the name of its line."""
    if not given["optional"]:
        return ""
    worked, _ = worked_out(QuoteDraft.objects.get(order=order), at=now())
    texts = (
        [row.line.text for sums in worked.sums.values() for row in sums.lines if row.number == number]
        if worked
        else []
    )
    return given["extra_text"] or next(iter(texts), "Extra")


@require_POST
@staff_only
def change_line(request: HttpRequest, code: str, number: int) -> HttpResponse:
    """Quantity and price of a line; or off with it."""
    order, at, off = order_for_staff(code), now(), "remove" in request.POST

    def deed(given: dict[str, Any]) -> str:
        if off:
            draft_lines.remove(order=order, seen=given["draft"], number=number, at=at)
            return "Taken off."
        draft_lines.change(
            order=order,
            seen=given["draft"],
            number=number,
            quantity=given["quantity"],
            price=given["price"],
            choice=given["choice"],
            extra=_extra(given, order, number) if "extra_text" in request.POST else None,
            at=at,
        )
        return ""

    typed = {"draft": request.POST.get("draft", "")} if off else request.POST
    form = LineForm(typed, number=number, currency=order.currency)
    return acted(request, order, form, deed, name="line", at="lines")


@require_POST
@staff_only
def say(request: HttpRequest, code: str) -> HttpResponse:
    """Keep words and day. The button that signs goes on to the last look."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        draft_lines.say(
            order=order, seen=given["draft"], words=given["words"], promise=given["promise"], at=at
        )
        kept_text.drop(order=order, station=Station.QUOTE)
        return "" if "sign" in request.POST else "Kept."

    form = WordsForm(request.POST, currency=order.currency, today=timezone.localdate(at))
    answer = acted(request, order, form, deed, name="words", at="here")
    if answer.status_code == 303 and "sign" in request.POST:
        return HttpResponseRedirect(reverse("shop:review_quote", args=[order.code]), status=303)
    return answer


@require_POST
@staff_only
def keep_words(request: HttpRequest, code: str) -> HttpResponse:
    """By script, as it is typed; the draft itself changes only by its button."""
    order = order_for_staff(code)
    fields = {name: request.POST.get(name, "") for name in ("words", "promise")}
    try:
        kept_text.keep(order=order, station=Station.QUOTE, fields=fields, by=person_of(request), at=now())
    except SheetMoved as moved:
        return JsonResponse({"error": moved.sentence}, status=409)
    return JsonResponse({"kept": True})


@require_safe
@staff_only
def review(request: HttpRequest, code: str) -> HttpResponse:
    """The last look: exactly what the customer will see. Sending cannot be undone."""
    order, at = order_for_staff(code), now()
    if order.station != Station.QUOTE:
        return to_sheet(request, order)
    draft = draft_of(order, at=at)
    worked, wrong = worked_out(draft, at=at)
    if worked is None or worked.missing:
        for sentence in worked.missing if worked else [wrong]:
            messages.warning(request, sentence)
        return to_sheet(request, order, at="lines")
    shown = as_shown(order, draft, worked, at=at)
    context = {
        "order": order,
        "finding": order.findings.order_by("-at", "-id").first(),
        "short_parts": worked.short_parts,
        "limit_words": limit_words(order, worked),
        "moved_words": moved_words(order, draft, worked),
        "form": SendForm(initial={"draft": draft.version, "looked_at": shown["looked_at"]}),
        **shown,
    }
    return render(request, "shop/quote_review.html", context)


@require_POST
@staff_only
def send(request: HttpRequest, code: str) -> HttpResponse:
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        quote = send_as_seen(
            order=order,
            seen_version=seen_version(request),
            seen_draft=given["draft"],
            looked_at=given["looked_at"],
            by=person_of(request),
            at=at,
        )
        if order.customer is None or not order.customer.email:
            return "Sent to the sheet. No letter could go: no e-mail address is known."
        return f"Revision {quote.revision} is sent to {order.customer.email}."

    return acted(request, order, SendForm(request.POST), deed, name="send", at="here")


@require_POST
@staff_only
def look_again(request: HttpRequest, code: str) -> HttpResponse:
    order, at = order_for_staff(code), now()

    def deed(_given: dict[str, Any]) -> str:
        diagnosis.look_again(order=order, seen_version=seen_version(request), by=person_of(request), at=at)
        return "Back at the diagnosis. The lines of the quote are kept."

    return acted(request, order, PressForm(request.POST), deed, name="again", at="here")


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/quote/remedy/", add_remedy, name="add_remedy"),
    path("sheet/<code:code>/quote/part/", add_part, name="add_part"),
    path("sheet/<code:code>/quote/other/", add_other, name="add_other"),
    path("sheet/<code:code>/quote/line/<int:number>/", change_line, name="change_line"),
    path("sheet/<code:code>/quote/words/", say, name="quote_words"),
    path("sheet/<code:code>/quote/keep/", keep_words, name="keep_words"),
    path("sheet/<code:code>/quote/review/", review, name="review_quote"),
    path("sheet/<code:code>/quote/send/", send, name="send_quote"),
    path("sheet/<code:code>/look-again/", look_again, name="look_again"),
]
