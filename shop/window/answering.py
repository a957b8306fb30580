"""The customer's answer to a quote: choose, read it once more, sign with a typed name. Only the last step decides."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from intake import visits
from intake.models import CustomerLink, Letterhead, Order
from intake.request_words import plain_text
from intake.stations import Station
from quotes import decisions
from quotes.consents import kept
from quotes.decisions import Answer
from quotes.models import Quote, QuoteEnd
from quotes.offered import offered_as
from quotes.refusals import AlreadyDecided, BeingRewritten, Lapsed, Refused, Superseded
from shop.access import now
from shop.window.by_link import by_link
from shop.window.forms import ASK, AnswerForm, ChoiceForm, extras_in
from shop.window.reading import Reading
from shop.window.sheet import render_window
from shop.window.views import back_to_window, moved

NOT_OFFERED = "One of the extras is not offered with that answer. Please look at them again."


@require_http_methods(["GET", "HEAD", "POST"])
@by_link
def answer(request: HttpRequest, order: Order, link: CustomerLink) -> HttpResponse:
    """GET reads the choice back, POST decides it. The digest of what was shown travels along."""
    given = request.POST if request.method == "POST" else request.GET
    quote = Quote.objects.filter(order=order, digest=plain_text(given.get("quote", ""))[:64]).first()
    if quote is None:
        return moved(request, order, link)
    if request.method == "POST":
        return _decide(request, order, link, quote)
    return _read_back(request, order, link, quote)


def _read_back(request: HttpRequest, order: Order, link: CustomerLink, quote: Quote) -> HttpResponse:
    form = ChoiceForm(request.GET, shown=quote)
    if (why_not := _why_not(order, quote)) is not None:
        return render_window(request, order, link, said=why_not.sentence, status=409)
    if not form.is_valid():
        return render_window(request, order, link, forms={"choice": form}, status=422)
    choice = form.cleaned_data["choice"]
    if choice == ASK:
        return back_to_window(order, "#messages")
    row = offered_as(quote.shown, choice)
    if row is None:
        return moved(request, order, link)
    reading = Reading(order, quote, row, tuple(form.taken()))
    return _review(request, reading, answer_form(reading))


def _decide(request: HttpRequest, order: Order, link: CustomerLink, quote: Quote) -> HttpResponse:
    row = offered_as(quote.shown, request.POST.get("choice", ""))
    if row is None:
        return moved(request, order, link)
    reading = Reading(order, quote, row, tuple(extras_in(request.POST.get("extras", ""))))
    if not reading.is_offered:
        return render_window(request, order, link, said=NOT_OFFERED, status=409)
    form = answer_form(reading, request.POST)
    if not form.is_valid():
        return _review(request, reading, form, status=422)
    try:
        decisions.decide(quote=quote, answer=_answer(request, reading, form, link), at=now())
    except Refused as refusal:
        return _not_decided(request, reading, link, form, refusal)
    messages.success(request, "Thank you. Your answer is written down, and a receipt is on its way to you.")
    return back_to_window(order)


def _answer(request: HttpRequest, reading: Reading, form: AnswerForm, link: CustomerLink) -> Answer:
    ticked = form.ticked()
    return Answer(
        choice=reading.row.choice,
        typed_name=form.cleaned_data["typed_name"],
        digest=form.cleaned_data["quote"],
        button=reading.button,
        consents=[consent.key for consent in ticked],
        consent_texts=kept(ticked, version=reading.quote.shown["terms_version"]),
        extras=list(reading.extras),
        link=link,
        from_address=visits.sender_of(request),
        agent=request.headers.get("User-Agent", ""),
    )


def answer_form(reading: Reading, data: Any = None) -> AnswerForm:
    return AnswerForm(
        data,
        initial={
            "quote": reading.quote.digest,
            "choice": reading.row.choice,
            "extras": ",".join(reading.extras),
        },
        consents=reading.consents,
    )


def _review(request: HttpRequest, reading: Reading, form: AnswerForm, *, status: int = 200) -> HttpResponse:
    head: Letterhead = reading.quote.letterhead
    context = {
        "order": reading.order,
        "quote": reading.quote,
        "reading": reading,
        "choice": reading.row,
        "button": reading.button,
        "bill": reading.bill,
        "form": form,
        "terms": head.terms,
    }
    return render(request, "shop/window/review.html", context, status=status)


def _not_decided(
    request: HttpRequest, reading: Reading, link: CustomerLink, form: AnswerForm, refusal: Refused
) -> HttpResponse:
    """What is wrong with the form is said beside its field; anything else shows how the order stands now."""
    if refusal.field in form.fields:
        form.add_error(refusal.field, refusal.sentence)
        return _review(request, reading, form, status=422)
    reading.order.refresh_from_db()
    return render_window(request, reading.order, link, said=refusal.sentence, status=409)


def _why_not(order: Order, quote: Quote) -> Refused | None:
    """Why the quote of an old page cannot be answered any more, as `decide` would say it; None if it can."""
    end = getattr(quote, "end", None)
    if end is not None and end.why == QuoteEnd.Why.DECIDED:
        return AlreadyDecided(quote.decision)
    if end is not None and end.why == QuoteEnd.Why.SUPERSEDED:
        return Superseded(decisions.open_quote(order))
    if end is not None or quote.valid_until < now():
        return Lapsed(quote)
    return None if order.station == Station.GO_AHEAD else BeingRewritten()
