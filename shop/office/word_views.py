"""The shop's lists: anybody of the bench adds a word; the owner renames, retires and merges."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from intake.refusals import Refused
from quotes import word_changes
from quotes.list_words import fold
from quotes.models import ListWord, Remedy
from shop.access import now, owner_only, person_of, staff_only
from shop.office import word_pages
from shop.office.forms_words import AddWordForm, MergeForm, RenameForm, VoltsForm

require_form = require_http_methods(["GET", "HEAD", "POST"])
NO_SUCH = "No such word is on this list. Add it first, or pick one that is."


@require_safe
@staff_only
def lists(request: HttpRequest) -> HttpResponse:
    return render(request, "shop/settings/lists.html", _seen_by(request, word_pages.index()))


@require_form
@staff_only
def one_list(request: HttpRequest, kind: str) -> HttpResponse:
    """The words of one list with their uses; a post adds one."""
    if kind not in ListWord.Kind.values:
        raise Http404("No such list.")
    form = AddWordForm(request.POST or None, kind=kind)
    if _done(form, lambda given: word_changes.add(kind=kind, by=person_of(request), at=now(), **given)):
        messages.success(request, "Added.")
        return HttpResponseRedirect(reverse("shop:word_list", args=[kind]), status=303)
    context = word_pages.list_page(kind, asked=request.GET.get("q", "")[:120])
    status = 422 if form.is_bound else 200
    return render(request, "shop/settings/list.html", _seen_by(request, context, form=form), status=status)


@require_safe
@staff_only
def word(request: HttpRequest, pk: int) -> HttpResponse:
    return _word_page(request, _word(pk))


@require_POST
@owner_only
def rename(request: HttpRequest, pk: int) -> HttpResponse:
    row, form = _word(pk), RenameForm(request.POST)
    if stays := _done(form, lambda given: word_changes.rename(word=row, **given, **_by(request))):
        return _to_word(request, stays, "Renamed. What was typed before stays as it was typed.")
    return _word_page(request, row, rename_form=form)


@require_POST
@owner_only
def volts(request: HttpRequest, pk: int) -> HttpResponse:
    row, form = _word(pk), VoltsForm(request.POST)
    if _done(
        form,
        lambda given: word_changes.set_nominal(word=row, volts=given["nominal_volts"], **_by(request)),
    ):
        return _to_word(request, row, "Saved.")
    return _word_page(request, row, volts_form=form)


@require_POST
@owner_only
def retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Offered no more, or again."""
    retired = request.POST.get("retired") == "1"
    row = word_changes.retire(word=_word(pk), retired=retired, **_by(request))
    return _to_word(request, row, "No longer offered." if retired else "Offered again.")


@require_form
@owner_only
def merge(request: HttpRequest, pk: int) -> HttpResponse:
    """Looking (`into` by name) changes nothing and says what would; the post merges what was looked at (`stays`)."""
    row = _word(pk)
    if request.method == "POST":
        stays = _word(_number(request.POST.get("stays", "")))
        try:
            word_changes.merge(word=row, into=stays, **_by(request))
        except Refused as refusal:
            return _word_page(
                request, row, merge_form=_refused(MergeForm({"into": stays.name}), refusal.sentence)
            )
        return _to_word(request, stays, f"{row.name} counts under {stays.name} from now on.")
    form = MergeForm(request.GET)
    into = _named(row, form)
    if into is None:
        return _word_page(request, row, merge_form=form)
    context = {"word": row, "into": into, **word_pages.preview(row, into)}
    return render(request, "shop/settings/list_merge.html", context)


@require_POST
@owner_only
def part(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a merge back."""
    row = _word(pk)
    try:
        word_changes.take_merge_back(word=row, **_by(request))
    except Refused as refusal:
        return _to_word(request, row, refusal.sentence)
    return _to_word(request, row, f"{row.name} counts by itself again.")


@require_safe
@owner_only
def remedy_doubles(request: HttpRequest) -> HttpResponse:
    return render(request, "shop/settings/remedy_doubles.html", word_pages.remedies_page())


@require_form
@owner_only
def merge_remedy(request: HttpRequest, pk: int) -> HttpResponse:
    """Looking changes nothing; the post merges."""
    row = get_object_or_404(Remedy, pk=pk)
    given = request.POST if request.method == "POST" else request.GET
    into = get_object_or_404(Remedy, pk=_number(given.get("into", "")))
    wrong = ""
    if request.method == "POST":
        try:
            word_changes.merge_remedy(remedy=row, into=into, **_by(request))
        except Refused as refusal:
            wrong = refusal.sentence
        else:
            messages.success(request, f"{row.name} counts under {into.name} from now on.")
            return HttpResponseRedirect(reverse("shop:remedy_doubles"), status=303)
    context = {"remedy": row, "into": into, "wrong": wrong, **word_pages.remedy_preview(row, into)}
    return render(request, "shop/settings/remedy_merge.html", context, status=422 if wrong else 200)


@require_POST
@owner_only
def part_remedy(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Remedy, pk=pk)
    try:
        word_changes.take_remedy_back(remedy=row, **_by(request))
    except Refused as refusal:
        messages.warning(request, refusal.sentence)
    else:
        messages.success(request, f"{row.name} counts by itself and is offered again.")
    return HttpResponseRedirect(reverse("shop:remedy_doubles"), status=303)


def _by(request: HttpRequest) -> dict[str, Any]:
    return {"by": person_of(request), "at": now()}


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 19 else 0


def _word(pk: int) -> ListWord:
    return get_object_or_404(ListWord.objects.select_related("within", "merged_into"), pk=pk)


def _done(form: forms.Form, deed: Callable[[dict[str, Any]], ListWord]) -> ListWord | None:
    """Do it where the form holds; None where it does not or the action refuses, with the sentence beside its field."""
    if not form.is_valid():
        return None
    try:
        return deed(form.cleaned_data)
    except Refused as refusal:
        form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
    return None


def _refused(form: MergeForm, sentence: str) -> MergeForm:
    if form.is_valid():
        form.add_error("into", sentence)
    return form


def _named(row: ListWord, form: MergeForm) -> ListWord | None:
    """The word of the same list and board that a name means; None with the sentence beside the field."""
    if not form.is_valid():
        return None
    same = ListWord.objects.filter(kind=row.kind, folded=fold(form.cleaned_data["into"]))
    found = same.filter(within=row.within_id).first() or same.first()
    if found is None:
        form.add_error("into", NO_SUCH)
        return None
    against = word_changes.against_merging(row, found)
    if against:
        form.add_error("into", against)
        return None
    return found


def _to_word(request: HttpRequest, row: ListWord, said: str) -> HttpResponse:
    messages.success(request, said)
    return HttpResponseRedirect(reverse("shop:list_word", args=[row.pk]), status=303)


def _word_page(request: HttpRequest, row: ListWord, **given: forms.Form) -> HttpResponse:
    context = {
        "rename_form": RenameForm(initial={"name": row.name}),
        "volts_form": VoltsForm(initial={"nominal_volts": row.nominal_volts}),
        "merge_form": MergeForm(),
        **word_pages.word_page(row),
        **given,
        "bad": next((form for form in given.values() if form.errors), None),
    }
    return render(
        request, "shop/settings/list_word.html", _seen_by(request, context), status=422 if given else 200
    )


def _seen_by(request: HttpRequest, context: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {**context, **more, "is_owner": person_of(request).is_owner}


urlpatterns: list[URLPattern] = [
    path("settings/lists/", lists, name="lists"),
    path("settings/lists/remedies/", remedy_doubles, name="remedy_doubles"),
    path("settings/lists/remedies/<int:pk>/merge/", merge_remedy, name="merge_remedy"),
    path("settings/lists/remedies/<int:pk>/part/", part_remedy, name="part_remedy"),
    path("settings/lists/word/<int:pk>/", word, name="list_word"),
    path("settings/lists/word/<int:pk>/rename/", rename, name="rename_word"),
    path("settings/lists/word/<int:pk>/volts/", volts, name="word_volts"),
    path("settings/lists/word/<int:pk>/retire/", retire, name="retire_word"),
    path("settings/lists/word/<int:pk>/merge/", merge, name="merge_word"),
    path("settings/lists/word/<int:pk>/part/", part, name="part_word"),
    path("settings/lists/<slug:kind>/", one_list, name="word_list"),
]
