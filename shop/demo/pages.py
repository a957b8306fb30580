"""The demonstration's own pages: the tour in its steps, and every letter as it was delivered. Nothing here outside the demo."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_safe

from intake import tokens
from intake.models import Letter
from shop.demo import bank, bench_tour, money_tour, tour
from shop.office import letter_files

View = Callable[..., HttpResponse]


def demo_only(view: View) -> View:
    """Outside the demonstration these addresses do not exist."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not settings.DEMO:
            raise Http404
        return view(request, *args, **kwargs)

    return guarded


@demo_only
@require_safe
def demo(request: HttpRequest) -> HttpResponse:
    context = {
        "steps": tour.steps(),
        "bench": bench_tour.steps(),
        "money": money_tour.steps(),
        "cases": money_tour.cases(),
        "people": tour.people(),
    }
    return render(request, "shop/demo/tour.html", context)


@demo_only
@require_safe
def bank_file(request: HttpRequest, name: str) -> HttpResponse:
    """A statement to save and take in, as the world's making left it."""
    if name not in bank.there():
        raise Http404
    answer = HttpResponse((bank.folder() / name).read_bytes(), content_type=bank.FILES[name])
    answer.headers["Content-Disposition"] = content_disposition_header(True, name) or ""
    return answer


@demo_only
@require_safe
def letters(request: HttpRequest) -> HttpResponse:
    """All of the outbox, whoever it went to: everybody here is invented."""
    shown, more = letter_files.page_of(Letter.objects.all(), request.GET.get("before", ""))
    return render(request, "shop/demo/letters.html", {"letters": shown, "more": more})


@demo_only
@require_safe
def letter(request: HttpRequest, pk: int) -> HttpResponse:
    row = _letter(pk)
    context = {
        "letter": row,
        "words": letter_files.words_of(row, with_link=True),
        "link": tokens.address_of(row.link) if row.link else "",
        "back": reverse("shop:demo_letters"),
    }
    answer = render(request, "shop/demo/letter.html", context)
    answer.content_policy = {"frame-src": "'self'"}  # type: ignore[attr-defined]  # read by shop.guard
    return answer


@demo_only
@require_safe
def html(request: HttpRequest, pk: int) -> HttpResponse:
    return letter_files.html_answer(_letter(pk), with_link=True)


@demo_only
@require_safe
def paper(request: HttpRequest, pk: int, paper_id: int) -> HttpResponse:
    return letter_files.paper_answer(_letter(pk), paper_id)


@demo_only
@require_safe
def photo(request: HttpRequest, pk: int, photo_id: int) -> HttpResponse:
    return letter_files.photo_answer(_letter(pk), photo_id)


def _letter(pk: int) -> Letter:
    return get_object_or_404(Letter.objects.select_related("order", "link"), pk=pk)
