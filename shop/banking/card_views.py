"""Where card providers report, and what the owner does with a report that waits."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from quotes.cards import events as card_events
from quotes.cards import waiting
from quotes.cards.provider import NotReadable, WrongSignature, find
from quotes.models import CardEvent
from quotes.refusals import Refused
from shop.access import now, owner_only, person_of
from shop.banking.forms import WhyForm

LARGEST_REPORT = 64 * 1024


@csrf_exempt
@require_POST
def events(request: HttpRequest, provider: str) -> HttpResponse:
    """One report. The signature stands for the sender, so no form guard is asked for; it is checked before anything else.

    Answered 200 where it is kept, whatever came of it: the provider shall not send it again for that.
    """
    if (known := find(provider)) is None:
        raise Http404
    if int(request.META.get("CONTENT_LENGTH") or 0) > LARGEST_REPORT:
        return _plain("too long", 413)
    try:
        event = known.read_event(headers=dict(request.headers), body=request.body)
    except WrongSignature:
        return _plain("wrong signature", 400)
    except NotReadable:
        return _plain("not readable", 422)
    card_events.take(provider=provider, event=event, at=now())
    return _plain("kept", 200)


def _plain(word: str, status: int) -> HttpResponse:
    answer = HttpResponse(word, content_type="text/plain; charset=utf-8", status=status)
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _to_reports() -> HttpResponseRedirect:
    return HttpResponseRedirect(reverse("shop:bank") + "#reports", status=303)


@require_POST
@owner_only
def again(request: HttpRequest, pk: int) -> HttpResponse:
    event = get_object_or_404(CardEvent, pk=pk)
    if waiting.try_again(event=event, at=now()):
        messages.success(request, "It has taken effect now.")
    else:
        messages.warning(request, "It still waits for the same thing.")
    return _to_reports()


@require_POST
@owner_only
def aside(request: HttpRequest, pk: int) -> HttpResponse:
    """Settled by hand: it leaves the list, with the reason."""
    event, form = get_object_or_404(CardEvent, pk=pk), WhyForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Say how it was settled.")
        return _to_reports()
    try:
        waiting.set_aside(event=event, why=form.cleaned_data["why"], by=person_of(request), at=now())
    except Refused as refusal:
        messages.warning(request, refusal.sentence)
    else:
        messages.success(request, "Set aside.")
    return _to_reports()
