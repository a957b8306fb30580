"""The owner's outbox: what needs a person, what waits, what went."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from intake import drain, letter_care
from intake.models import Letter
from intake.refusals import Refused
from intake.wording import count
from shop.access import now, owner_only, person_of
from shop.office import letter_files
from shop.office.letter_forms import AddressForm

State = Letter.State


@never_cache
@require_safe
@owner_only
def letters(request: HttpRequest) -> HttpResponse:
    rows = Letter.objects.select_related("order").defer("text", "html")
    sent, more = letter_files.newest_first(request.GET.get("before", ""))
    context = {
        "stuck": rows.filter(state__in=[State.HELD, State.DEAD]).order_by("-pk")[: letter_files.A_PAGE],
        "waiting": rows.filter(state__in=[State.PENDING, State.CLAIMED]).order_by("next_at", "pk")[
            : letter_files.A_PAGE
        ],
        "sent": sent,
        "more": more,
        "first": "before" not in request.GET,
    }
    return render(request, "shop/letters/letters.html", context)


@never_cache
@require_safe
@owner_only
def letter(request: HttpRequest, pk: int) -> HttpResponse:
    return _page(request, _letter(pk))


def _page(request: HttpRequest, row: Letter, form: AddressForm | None = None) -> HttpResponse:
    context = {
        "letter": row,
        "form": form or AddressForm(initial={"to": row.to}),
        "words": letter_files.words_of(row, with_link=False),
        "attempts": row.attempts.all(),
        "stuck": row.state in letter_care.STUCK and row.to,
        "held": row.state == State.HELD,
        "back": reverse("shop:letters"),
    }
    answer = render(request, "shop/letters/letter.html", context, status=422 if form else 200)
    answer.content_policy = {"frame-src": "'self'"}  # type: ignore[attr-defined]  # read by shop.guard
    return answer


@require_safe
@owner_only
def html(request: HttpRequest, pk: int) -> HttpResponse:
    return letter_files.html_answer(_letter(pk), with_link=False)


@require_POST
@owner_only
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """The same letter once more, with the same Message-ID."""
    if drain.send_again(_letter(pk), by=person_of(request).username, at=now()):
        messages.success(request, "It goes again, with the same Message-ID.")
    else:
        messages.warning(request, "This letter is not held any more. Nothing was changed.")
    return HttpResponseRedirect(reverse("shop:letter", args=[pk]), status=303)


@require_POST
@owner_only
def arrived(request: HttpRequest, pk: int) -> HttpResponse:
    if drain.mark_arrived(_letter(pk), by=person_of(request).username, at=now()):
        messages.success(request, "Marked as arrived. It will not go again.")
    else:
        messages.warning(request, "Only a held letter can be marked as arrived. Nothing was changed.")
    return HttpResponseRedirect(reverse("shop:letter", args=[pk]), status=303)


@require_POST
@owner_only
def another_address(request: HttpRequest, pk: int) -> HttpResponse:
    """A mistyped address put right: what is stuck there goes again, and what follows goes there too."""
    row, form = _letter(pk), AddressForm(request.POST)
    if not form.is_valid():
        return _page(request, row, form)
    try:
        gone = letter_care.readdress(letter=row, to=form.cleaned_data["to"], by=person_of(request), at=now())
    except Refused as refused:
        messages.warning(request, refused.sentence)
    else:
        messages.success(
            request, f"The address is put right. {count(gone, 'letter goes', 'letters go')} again."
        )
    return HttpResponseRedirect(reverse("shop:letter", args=[pk]), status=303)


@require_POST
@owner_only
def close(request: HttpRequest, pk: int) -> HttpResponse:
    try:
        letter_care.close(letter=_letter(pk), by=person_of(request), at=now())
    except Refused as refused:
        messages.warning(request, refused.sentence)
    else:
        messages.success(request, "Closed. It will not go, and nobody is reminded of it.")
    return HttpResponseRedirect(reverse("shop:letter", args=[pk]), status=303)


def _letter(pk: int) -> Letter:
    return get_object_or_404(Letter.objects.select_related("order", "link"), pk=pk)
