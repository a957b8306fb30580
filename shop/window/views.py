"""The window and the customer's small acts: posted, called off, a question, a stop."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from intake import questions, submissions
from intake.lifecycle import CUSTOMER, LifecycleError
from intake.models import CustomerLink, Order
from intake.refusals import Refused
from intake.stations import Station
from quotes import decisions
from shop.access import now
from shop.window import facts
from shop.window.by_link import by_link
from shop.window.forms import PostedForm, QuestionForm, VersionForm
from shop.window.limits import too_many
from shop.window.sheet import render_window

QUESTIONS_AN_HOUR = 30


def back_to_window(order: Order, anchor: str = "") -> HttpResponseRedirect:
    return HttpResponseRedirect(reverse("shop:window", args=[order.code]) + anchor, status=303)


@require_safe
@by_link
def window(request: HttpRequest, order: Order, link: CustomerLink) -> HttpResponse:
    """Where the order is, what was found, what is asked of the customer. Changes nothing."""
    return render_window(request, order, link)


@require_POST
@by_link
def posted(request: HttpRequest, order: Order, link: CustomerLink) -> HttpResponse:
    """The customer says that the parcel is in the post."""
    form = PostedForm(request.POST)
    if not form.is_valid():
        return render_window(request, order, link, forms={"posted": form}, status=422)
    submissions.note_posted(order=order, tracking=form.cleaned_data["tracking"], at=now())
    messages.success(request, "Thank you. We tell you as soon as it is here.")
    return back_to_window(order)


@require_POST
@by_link
def withdraw(request: HttpRequest, order: Order, link: CustomerLink) -> HttpResponse:
    """Call the request off before the parcel is taken in."""
    form = VersionForm(request.POST)
    if not form.is_valid() or order.station != Station.GOODS_IN:
        return moved(request, order, link)
    try:
        submissions.withdraw(order=order, seen_version=form.cleaned_data["version"], by=CUSTOMER, at=now())
    except LifecycleError:
        return moved(request, order, link)
    messages.success(request, "Your request is called off. There is nothing to pay.")
    return back_to_window(order)


@require_POST
@by_link
def ask(request: HttpRequest, order: Order, link: CustomerLink) -> HttpResponse:
    """A question for the shop. It decides nothing, and an open quote stays open."""
    form = QuestionForm(request.POST)
    if form.is_valid() and too_many("question", str(link.pk), most=QUESTIONS_AN_HOUR, seconds=3600):
        form.add_error("text", "These are very many messages in one hour. Please ring us, or wait a little.")
    if not form.is_valid():
        return render_window(request, order, link, forms={"question": form}, status=422)
    key = f"{order.pk}:{form.cleaned_data['form_key']}"[:64]
    try:
        questions.ask(order=order, text=form.cleaned_data["text"], form_key=key, at=now())
    except Refused as refusal:
        form.add_error("text", refusal.sentence)
        return render_window(request, order, link, forms={"question": form}, status=422)
    messages.success(request, "Your message is with us. We answer by letter, and here.")
    return back_to_window(order, "#messages")


@require_POST
@by_link
def stop(request: HttpRequest, order: Order, link: CustomerLink) -> HttpResponse:
    """Stop what the standing limit started, as long as nobody has begun."""
    form = VersionForm(request.POST)
    if not form.is_valid():
        return moved(request, order, link)
    try:
        decisions.stop_before_work(
            order=order,
            seen_version=form.cleaned_data["version"],
            begun=facts.work_has_begun(order),
            at=now(),
        )
    except Refused as refusal:
        order.refresh_from_db()
        return render_window(request, order, link, said=refusal.sentence, status=409)
    messages.success(request, "Stopped. Nothing is mended. We write to you about what comes next.")
    return back_to_window(order)


def moved(request: HttpRequest, order: Order, link: CustomerLink) -> HttpResponse:
    """Somebody was quicker, or the page was old: how it stands now."""
    order.refresh_from_db()
    return render_window(
        request,
        order,
        link,
        said="This order has moved on since you opened the page. Here is how it stands now.",
        status=409,
    )
