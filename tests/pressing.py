"""Presses the buttons of a page as a browser without script does: the form as it was drawn, with what a person typed."""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

from django.test import Client

TICKS = ("radio", "checkbox")


@dataclass
class Drawn:
    """A form on a page: where it goes, and what it holds before anybody types."""

    action: str
    method: str
    holds: dict[str, Any] = field(default_factory=dict)
    names: set[str] = field(default_factory=set)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Drawn] = []
        self._words_of = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.forms.append(Drawn(given.get("action", ""), given.get("method", "get")))
        name, form = given.get("name", ""), self.forms[-1] if self.forms else None
        if not name or form is None or tag not in ("input", "textarea", "select", "button"):
            return
        form.names.add(name)
        kind = given.get("type", "text")
        if tag == "textarea":
            self._words_of = name
            form.holds[name] = ""
        elif tag == "input" and kind not in ("file", "submit") and (kind not in TICKS or "checked" in given):
            form.holds.setdefault(name, given.get("value", ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self._words_of = ""

    def handle_data(self, data: str) -> None:
        if self._words_of:
            self.forms[-1].holds[self._words_of] = data.lstrip("\n")


def press(client: Client, page: str, action: str, **typed: Any) -> Any:
    """Open `page`, fill the one form that goes to a path ending in `action`, send it; the answer must lead on (303)."""
    answer = client.get(page)
    assert answer.status_code == 200, (page, answer.status_code)
    reader = _Reader()
    reader.feed(answer.content.decode())
    fits = [
        form for form in reader.forms if (form.action or page).split("#")[0].split("?")[0].endswith(action)
    ]
    assert fits, f"no form on {page} goes to {action}; there are {[form.action for form in reader.forms]}"
    form = next((form for form in fits if set(typed) <= form.names), None)
    assert form is not None, f"the form {action} on {page} lacks {set(typed) - fits[0].names}"
    send = client.post if form.method.lower() == "post" else client.get
    done = send(form.action or page, {**form.holds, **typed})
    assert done.status_code in (200, 302, 303), (action, done.status_code, done.content.decode()[:3000])
    return done
