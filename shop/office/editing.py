"""A page that edits one thing: shows the form, saves through an action, and keeps what was typed when that refuses."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from intake.house_rules import Outdated
from intake.refusals import Refused
from intake.request_words import plain_text


@dataclass(frozen=True)
class Page:
    """What stands around the form. `back` is where a saved form leads."""

    title: str
    lede: str
    back: str
    act: str = "Save"
    saved: str = "Saved. Papers made before keep the version they used."
    template: str = "shop/settings/form.html"
    more: dict[str, Any] = field(default_factory=dict)


class Words(forms.CharField):
    """Text without control characters."""

    def to_python(self, value: Any) -> str:
        return plain_text(super().to_python(value) or "")


class Number(forms.DecimalField):
    """A number as people type it: one comma is read as the point."""

    widget = forms.TextInput

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_digits", 10)
        kwargs.setdefault("min_value", 0)
        super().__init__(**kwargs)
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off", "size": 12}
        self.error_messages["invalid"] = "That is not a number. Type one such as 12 or 12.50."
        self.error_messages["required"] = "Type a number; 0 where there is none."

    def to_python(self, value: Any) -> Any:
        text = str(value).strip() if value is not None else ""
        return super().to_python(text.replace(",", ".") if text.count(",") == 1 and "." not in text else text)


class VersionedForm(forms.Form):
    """Remembers the version that was on the screen, so that two who write at once do not undo each other."""

    seen = forms.IntegerField(widget=forms.HiddenInput)

    def changes(self) -> dict[str, Any]:
        """What was typed, by the names of the row."""
        return {name: value for name, value in self.cleaned_data.items() if name != "seen"}

    def again(self, version: int) -> None:
        """Go on from a newer version: the next press saves over it, knowingly."""
        self.data = self.data.copy()
        self.data["seen"] = str(version)


def edit(
    request: HttpRequest, page: Page, form: forms.Form, save: Callable[[dict[str, Any]], object]
) -> HttpResponse:
    """GET shows, POST saves and leads to `page.back` (303), or shows again with what is wrong (422).

    `save` gets what was typed and returns None where nothing was different.
    """
    if request.method != "POST":
        return show(request, page, form)
    if form.is_valid():
        try:
            saved = save(form.changes() if isinstance(form, VersionedForm) else form.cleaned_data)
        except Refused as refusal:
            _put_beside(form, refusal)
        else:
            messages.success(
                request, page.saved if saved is not None else "Nothing was different. Nothing was saved."
            )
            return HttpResponseRedirect(page.back, status=303)
    return show(request, page, form, status=422)


def show(
    request: HttpRequest, page: Page, form: forms.Form, *, status: int = 200, **more: Any
) -> HttpResponse:
    return render(request, page.template, {"page": page, "form": form, **page.more, **more}, status=status)


def _put_beside(form: forms.Form, refusal: Refused) -> None:
    if isinstance(refusal, Outdated) and isinstance(form, VersionedForm):
        form.again(refusal.version)
    form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
