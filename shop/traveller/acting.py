"""What every act on the sheet does alike: the form, the action, then the sheet again.

An act is a post. Done: a message and a redirect (303) to the sheet. Refused: the sheet with the bound form and the
sentence beside its field (422). The sheet moved on meanwhile: the sheet as it stands now, with what was typed (409).
"""

from collections.abc import Callable, Collection
from functools import reduce
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.html import format_html

from intake.lifecycle import IllegalMove, LifecycleError
from intake.models import Order
from intake.refusals import Refused
from shop.access import order_for_staff
from shop.traveller.page import render_sheet

MOVED_ON = "This sheet has moved on since you opened it. Here is how it stands now."
# Forms that are on every sheet, whatever station is open.
ALWAYS_THERE = {
    "message",
    "slip",
    "slip_end",
    "photo",
    "sender",
    "wrong_device",
    "battery",
    "copy_gone",
    "minutes",
}
Deed = Callable[[dict[str, Any]], str | None]


def seen_version(request: HttpRequest) -> int:
    """The version of the sheet the person saw; -1, which fits no sheet, where the post carries none."""
    try:
        return int(request.POST.get("version", ""))
    except ValueError:
        return -1


def to_sheet(request: HttpRequest, order: Order, said: str = "", *, at: str = "") -> HttpResponse:
    """Back to the sheet (303), with a sentence; `at` is the id of the place to look at."""
    if said:
        messages.success(request, said)
    place = f"#{at}" if at else ""
    return HttpResponseRedirect(reverse("shop:sheet", args=[order.code]) + place, status=303)


def print_now(order: Order, said: str, makers: Collection[str]) -> str:
    """A sentence with a link to each paper of these makers that is there to be printed; `said` is escaped."""
    papers = order.papers.filter(maker__in=makers, gone_at__isnull=True).order_by("pk")
    links = [
        format_html('<a href="{}">{}</a>', reverse("shop:paper", args=[paper.pk]), paper.title)
        for paper in papers
    ]
    if not links:
        return said
    listed = reduce(lambda before, link: format_html("{}, {}", before, link), links)
    return format_html("{} Print now: {}.", said, listed)


def acted(
    request: HttpRequest, order: Order, form: Form, deed: Deed, *, name: str, at: str = ""
) -> HttpResponse:
    """Do `deed(cleaned_data)` if the form holds. The deed returns the sentence to say, or nothing.

    `name` is the form's key in `forms`, under which the sheet shows it again.
    """
    if form.is_valid():
        try:
            said = deed(form.cleaned_data)
        except LifecycleError as moved:
            sentence = MOVED_ON if isinstance(moved, IllegalMove) else moved.sentence
            return _moved(request, order, form, sentence, name)
        except Refused as refusal:
            field = refusal.field if refusal.field in form.fields else None
            form.add_error(field, refusal.sentence)
        else:
            return to_sheet(request, order, said or "", at=at)
    return render_sheet(request, order_for_staff(order.code), forms={name: form}, status=422)


def _moved(request: HttpRequest, order: Order, form: Form, sentence: str, name: str) -> HttpResponse:
    """Nothing typed is lost: it is listed, and its form is there too where the sheet still has it."""
    messages.warning(request, sentence)
    unsent = [] if name in ALWAYS_THERE else _typed(form)
    return render_sheet(request, order_for_staff(order.code), forms={name: form}, unsent=unsent, status=409)


def _typed(form: Form) -> list[tuple[str, str]]:
    typed = []
    for field in form.visible_fields():
        value = field.value()
        words = ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value or "")
        if words and field.widget_type != "clearablefile":
            typed.append((str(field.label), words))
    return typed
