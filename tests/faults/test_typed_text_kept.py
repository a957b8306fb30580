"""The sign-in ends while somebody types: after a new sign-in every character is there, on every form of the house."""

import html
import random
from html.parser import HTMLParser
from urllib.parse import urljoin

import pytest
from django.contrib.sessions.models import Session

from intake.stations import Station
from shop.office.kept import NEVER
from tests import walk
from tests.known_browser import make_known

pytestmark = [pytest.mark.faults, pytest.mark.long]

TYPED = 'Ångström & "quotes", <tags>, tabs\tand a line\r\nmore. '
PAGES = [
    "/bench/", "/receiving/", "/stock/new/", "/stock/lots/", "/letters/", "/books/hours/", "/settings/letterhead/", "/settings/texts/",
    "/settings/letters/", "/settings/rates/", "/settings/remedies/new/", "/settings/surcharges/new/", "/settings/tiers/new/",
    "/settings/tests/phone/", "/settings/people/new/", "/settings/lists/remedies/", "/settings/lists/fault/", "/settings/lists/point/",
    "/settings/hours/", "/settings/reading-keys/", "/bench/good-boards/", "/bench/meters/", "/accounts/bank/", "/settings/prices/parts/in/",
]  # fmt: skip
STAYS_OUT = {"/sign-out/", "/kept/"}


class Forms(HTMLParser):
    """The forms of a page that are sent by post: (where to, names of the fields one types in, the other fields)."""

    def __init__(self, page: str, at: str) -> None:
        super().__init__()
        self.found: list[tuple[str, list[str], dict[str, str]]] = []
        self._at, self._open = at, False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._open = told.get("method", "").lower() == "post"
            if self._open:
                self.found.append((urljoin(self._at, told.get("action") or self._at), [], {}))
        elif self._open and told.get("name") and told["name"] not in NEVER:
            typed = tag == "textarea" or (tag == "input" and told.get("type", "text") in ("text", "search", "email", "tel", "url"))  # fmt: skip
            if typed:
                self.found[-1][1].append(told["name"])
            elif tag == "input" and told.get("type") == "hidden":
                self.found[-1][2][told["name"]] = told.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._open = False


@pytest.fixture
def forms(client, bench, at):
    """Every form with something to type in, of every page that has one, the sheets of all stations among them."""
    client.force_login(bench.owner)
    make_known(client, bench.owner)
    stations = [Station.GOODS_IN, Station.DIAGNOSIS, Station.QUOTE, Station.GO_AHEAD, Station.REPAIR, Station.TEST, Station.GOODS_OUT, Station.HOME]  # fmt: skip
    sheets = [walk.to(walk.request(at=at), station, by=bench.technician, at=at).code for station in stations]
    found = []
    for page in [*PAGES, *(f"/sheet/{code}/" for code in sheets)]:
        answer = client.get(page, follow=True)
        found += [(page, *form) for form in Forms(answer.content.decode(), page).found if form[1]]
    return [form for form in found if form[1] not in STAYS_OUT]


def test_sign_in_that_ends_while_somebody_types_loses_no_character(client, bench, forms, size):
    random.Random(20261105).shuffle(forms)
    tried, lost = 0, []
    for page, goal, names, others in forms[: size(5, 1000)]:
        client.force_login(bench.owner)
        Session.objects.all().delete()
        typed = {name: f"{TYPED}{number} in {name}" for number, name in enumerate(names)}
        answer = client.post(goal, {**others, **typed})
        assert answer.status_code in (302, 303), (page, goal, answer.status_code)
        client.force_login(bench.owner)
        shown = html.unescape(client.get("/kept/").content.decode())
        lost += [(page, goal, name) for name, words in typed.items() if words not in shown]
        tried += 1
    assert lost == []
    print(f"{tried} forms of {len(forms)}, 0 characters lost")
    assert len(forms) >= 50
