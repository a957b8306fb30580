"""Posts at 50: the customer's answer, where staff heard it; and back to 40 for a new revision."""

import datetime as dt
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST

from intake.lifecycle import SheetMoved
from intake.models import Order
from quotes import decisions, offers
from quotes.decisions import Answer
from quotes.drafts import draft_of
from quotes.models import Quote
from quotes.refusals import AlreadyDecided, BeingRewritten, Lapsed, Superseded
from shop.access import now, order_for_staff, person_of, staff_only
from shop.traveller.acting import acted, seen_version
from shop.traveller.forms.go_ahead import NotedAnswerForm
from shop.traveller.forms.quote import PressForm
from shop.traveller.quoting import moved_words, worked_out
from shop.window.bill import choice_of

SAID = {
    "mend": "Noted: mend it. On to the repair.",
    "data": "Noted: save the data only. On to the bench.",
    "clean": "Noted: clean it, without a promise. On to the bench.",
    "back": "Noted: back as it is. On to goods out.",
    "recycle": "Noted: recycle it. On to goods out.",
    "first": "Noted: only the first job. Back to the repair.",
}
REOPENED = (
    "Back at the quote, with its lines at today's prices. The customer cannot answer until you send it."
)
TOO_LATE = (AlreadyDecided, Superseded, BeingRewritten, Lapsed)


@require_POST
@staff_only
def note_answer(request: HttpRequest, code: str) -> HttpResponse:
    """An answer by phone or in person. It stands on the quote that was on the screen, by its digest."""
    order, at = order_for_staff(code), now()
    quote = get_object_or_404(Quote, order=order, digest=request.POST.get("looked_at", ""))
    form = NotedAnswerForm(request.POST, quote=quote, at=at)

    def deed(given: dict[str, Any]) -> str:
        choice = choice_of(quote, given["choice"]) or {}
        answer = Answer(
            choice=given["choice"],
            typed_name=given["typed_name"],
            digest=given["looked_at"],
            button=f"Noted on the sheet: {choice.get('label', '')}",
            channel=given["channel"],
            consents=[consent.key for consent in form.ticked()],
            consent_texts=form.consent_texts(),
            extras=form.extras_taken(),
            called_number=given["called_number"],
            spoken_at=given["spoken_at"],
            conditions=given["conditions"],
            noted_by=person_of(request),
        )
        try:
            decisions.decide(quote=quote, answer=answer, at=at)
        except TOO_LATE as late:
            raise SheetMoved(late.sentence) from late
        return SAID[given["choice"]]

    return acted(request, order, form, deed, name="noted", at="here")


@require_POST
@staff_only
def reopen(request: HttpRequest, code: str) -> HttpResponse:
    """Back to 40 with the lines as they were, priced anew. The old quote stays as it is until the new one is sent."""
    order, at = order_for_staff(code), now()

    def deed(_given: dict[str, Any]) -> str:
        offers.reopen(order=order, seen_version=seen_version(request), by=person_of(request), at=at)
        return f"{REOPENED} {_moved(order, at)}".strip()

    return acted(request, order, PressForm(request.POST), deed, name="again", at="here")


def _moved(order: Order, at: dt.datetime) -> str:
    draft = draft_of(order, at=at)
    worked, wrong = worked_out(draft, at=at)
    return moved_words(order, draft, worked) if worked else wrong


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/answer/", note_answer, name="note_answer"),
    path("sheet/<code:code>/reopen/", reopen, name="reopen_quote"),
]
