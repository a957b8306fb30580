"""The page of good boards: what is expected at their points, one more reading in one line, one struck."""

import secrets
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from intake.refusals import Refused
from quotes import good_boards, good_samples
from quotes.models import GoodReading
from shop.access import now, person_of, staff_only
from shop.knowledge import queries
from shop.knowledge.forms import GoodForm, StrikeForm
from shop.office.editing import Page, edit

STAYS = ("specimen", "board", "revision", "state", "meter")
_LONGEST = 80


@require_safe
@staff_only
def boards(request: HttpRequest) -> HttpResponse:
    stays = {name: request.GET.get(name, "").replace("\x00", "")[:_LONGEST] for name in STAYS}
    form = GoodForm(initial={**stays, "key": secrets.token_urlsafe(24)})
    return _page(request, form, stays["board"])


def _page(request: HttpRequest, form: GoodForm, board: str, status: int = 200) -> HttpResponse:
    context: dict[str, Any] = {
        "form": form,
        "board": board.strip(),
        "boards": good_samples.boards(),
        "offered": queries.offered(),
        "fewest": queries.FEWEST,
    }
    if context["board"]:
        context |= {"points": queries.points_of(board), "struck": queries.struck_of(board)}
    return render(request, "shop/knowledge/good_boards.html", context, status=status)


@require_POST
@staff_only
def take(request: HttpRequest) -> HttpResponse:
    """The first press says the line back, the next one writes it."""
    form = GoodForm(request.POST)
    board = request.POST.get("board", "").replace("\x00", "")[:_LONGEST]
    if not form.is_valid():
        return _page(request, form, board, 422)
    given = form.cleaned_data
    try:
        sentence = good_boards.understand(given["line"]).understood
        if not form.is_agreed(sentence):
            return _page(request, form, board)
        good_boards.take_good(
            about=form.about(), line=given["line"], key=given["key"], by=person_of(request), at=now()
        )
    except Refused as refusal:
        form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
        return _page(request, form, board, 422)
    messages.success(request, f"Written: {sentence}")
    stays = urlencode({name: given[name] for name in STAYS if given[name]})
    return HttpResponseRedirect(f"{reverse('shop:good_boards')}?{stays}#good", status=303)


@require_http_methods(["GET", "HEAD", "POST"])
@staff_only
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(GoodReading, pk=pk)
    page = Page(
        f"Strike a reading of {row.board}",
        f"{row.point}: {row.typed}, on {row.specimen}. It stays written and counts no more.",
        f"{reverse('shop:good_boards')}?{urlencode({'board': row.board})}",
        act="Strike it",
        saved="Struck. It counts no more.",
    )
    return edit(
        request,
        page,
        StrikeForm(request.POST or None),
        lambda given: good_boards.strike(row=row, why=given["why"], by=person_of(request), at=now()),
    )
