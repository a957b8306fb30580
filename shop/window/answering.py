"""The customer's answer to a quote: choose, read it once more, sign with a typed name. Only the last step decides."""

from decimal import Decimal
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
from quotes.decisions import Answer
from quotes.models import Quote, QuoteEnd
from quotes.refusals import AlreadyDecided, BeingRewritten, Lapsed, Refused, Superseded
from shop.access import now
from shop.window.bill import bill_of, choice_of, money, under_choices
from shop.window.by_link import by_link
from shop.window.forms import ASK, AnswerForm, ChoiceForm
from shop.window.sheet import render_window
from shop.window.views import back_to_window, moved


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
    form = ChoiceForm(request.GET, shown=quote, said=under_choices(quote))
    if (why_not := _why_not(order, quote)) is not None:
        return render_window(request, order, link, said=why_not.sentence, status=409)
    if not form.is_valid():
        return render_window(request, order, link, forms={"choice": form}, status=422)
    choice = form.cleaned_data["choice"]
    if choice == ASK:
        return back_to_window(order, "#messages")
    return _review(request, order, quote, answer_form(quote, choice))


def answer_form(quote: Quote, choice: str, data: Any = None) -> AnswerForm:
    return AnswerForm(
        data,
        initial={"quote": quote.digest, "choice": choice},
        choice=choice,
        withdrawal_words=quote.shown["withdrawal_words"],
    )


def _review(
    request: HttpRequest, order: Order, quote: Quote, form: AnswerForm, *, status: int = 200
) -> HttpResponse:
    choice = choice_of(quote, str(form["choice"].value())) or quote.shown["choices"][0]
    head: Letterhead = quote.letterhead
    context = {
        "order": order,
        "quote": quote,
        "choice": choice,
        "free": not choice["total"] or not Decimal(choice["total"]),
        "button": button_words(quote, choice),
        "bill": bill_of(quote),
        "form": form,
        "terms": head.terms,
    }
    return render(request, "shop/window/review.html", context, status=status)


def button_words(quote: Quote, choice: dict[str, str]) -> str:
    """The words on the button that binds; kept with the decision."""
    free = not choice["total"] or not Decimal(choice["total"])
    total = "" if free else money(choice["total"], quote.currency)
    return {
        "mend": f"Yes, mend it for {total}",
        "back": f"Send it back as it is, {total}".rstrip(" ,"),
        "recycle": f"Wipe it and recycle it, {total}".rstrip(" ,"),
        "first": "Finish only the first job",
    }[choice["choice"]]


def _decide(request: HttpRequest, order: Order, link: CustomerLink, quote: Quote) -> HttpResponse:
    choice = choice_of(quote, request.POST.get("choice", ""))
    if choice is None:
        return moved(request, order, link)
    form = answer_form(quote, choice["choice"], request.POST)
    if not form.is_valid():
        return _review(request, order, quote, form, status=422)
    try:
        decisions.decide(
            quote=quote,
            answer=Answer(
                choice=choice["choice"],
                typed_name=form.cleaned_data["typed_name"],
                digest=form.cleaned_data["quote"],
                button=button_words(quote, choice),
                consents=form.consents(),
                link=link,
                from_address=visits.sender_of(request),
                agent=request.headers.get("User-Agent", ""),
            ),
            at=now(),
        )
    except Refused as refusal:
        return _not_decided(request, order, link, quote, form, refusal)
    messages.success(request, "Thank you. Your answer is written down, and a receipt is on its way to you.")
    return back_to_window(order)


def _not_decided(
    request: HttpRequest, order: Order, link: CustomerLink, quote: Quote, form: AnswerForm, refusal: Refused
) -> HttpResponse:
    """What is wrong with the form is said beside its field; anything else shows how the order stands now."""
    if refusal.field in form.fields:
        form.add_error(refusal.field, refusal.sentence)
        return _review(request, order, quote, form, status=422)
    order.refresh_from_db()
    return render_window(request, order, link, said=refusal.sentence, status=409)


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
