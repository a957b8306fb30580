"""The face: contrast of the inks, the shared templates on hostile and plain values, the frame around pages."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django import forms
from django.contrib.auth.models import AnonymousUser
from django.contrib.staticfiles import finders
from django.template import engines
from django.template.loader import render_to_string
from django.test import RequestFactory
from django.utils import timezone

from intake.answers import Answer
from intake.house import forget_house
from intake.models import Letterhead, Person
from intake.money import Money
from shop import surface

FRAME = {"house_name": "Quillmere Bench", "email": "bench@example.com", "phone": "555-0100"}
SHEETS = ("tokens", "base", "sheet", "parts", "customer", "staff", "print", "plain")
HOSTILE = "<img src=x onerror=alert(1)>"


@pytest.fixture(autouse=True)
def _fresh_house() -> Iterator[None]:
    forget_house()
    yield
    forget_house()


def css(name: str) -> str:
    return Path(str(finders.find(f"css/{name}.css"))).read_text(encoding="utf-8")


def draw(template: str, **context: Any) -> str:
    return engines["django"].from_string("{% load sheet %}" + template).render({"frame": FRAME, **context})


def inks(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9A-F]{6})", block))


def luminance(ink: str) -> float:
    parts = [int(ink[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Source: W3C, WCAG 2.2, definitions of relative luminance and contrast ratio."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


TEXT = [
    ("ink", "paper"),
    ("ink", "mat"),
    ("ink", "blank"),
    ("soft", "paper"),
    ("soft", "blank"),
    ("soft", "mat"),
    ("board", "paper"),
    ("board", "mat"),
    ("board-deep", "paper"),
    ("on-board", "board"),
    ("on-board", "board-deep"),
    ("on-tape", "tape"),
    ("amber", "paper"),
    ("stop", "paper"),
    ("stop", "blank"),
    ("on-stop", "stop"),
    ("on-rail", "rail"),
]
EDGES = [("line", "paper"), ("line", "blank"), ("focus", "paper"), ("focus", "mat"), ("ink", "paper")]


@pytest.mark.parametrize("light", ["day", "bench"])
def test_inks_can_be_told_from_their_paper(light: str) -> None:
    day, bench = css("tokens").split("@layer tokens {")[1].split(":root[data-light")
    found = inks(day) if light == "day" else {**inks(day), **inks(bench)}
    weak = {pair: contrast(found[pair[0]], found[pair[1]]) for pair in TEXT}
    assert {pair: value for pair, value in weak.items() if value < 4.5} == {}  # WCAG 2.2, 1.4.3
    weak = {pair: contrast(found[pair[0]], found[pair[1]]) for pair in EDGES}
    assert {pair: value for pair, value in weak.items() if value < 3} == {}  # WCAG 2.2, 1.4.11


def test_contrast_of_black_on_white_is_21() -> None:
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)


@pytest.mark.parametrize("name", SHEETS)
def test_style_asks_for_nothing_from_elsewhere(name: str) -> None:
    for address in re.findall(r"url\(\"?([^)\"]+)", css(name)):
        assert address.startswith("../fonts/")
        assert finders.find(address.removeprefix("../")), address
    assert css(name).count("{") == css(name).count("}")


def sheet(**more: Any) -> dict[str, Any]:
    stations = [
        {
            "number": 20,
            "name": "Goods in",
            "state": "signed",
            "note": HOSTILE,
            "signs": [("RS", datetime(2026, 2, 2, 9, tzinfo=UTC), 75)],
        },
        {"number": 30, "name": "Diagnosis", "state": "here", "signs": [], "sign_form": "diagnosis"},
        {"number": 40, "name": "Quote", "state": "later", "due": "by Fri 6 Feb"},
    ]
    return {
        "code": "K7M4-3TX9",
        "what": HOSTILE,
        "says": [("The customer says", HOSTILE, True)],
        "stations": stations,
        **more,
    }


def test_sheet_says_where_the_order_stands_without_colour() -> None:
    page = draw("{% include 'frame/sheet.html' %}", sheet=sheet())
    assert page.count('aria-current="step"') == 1
    assert re.search(r'station here" id="station-30" aria-current="step"', page)
    assert "Not signed" in page
    assert "1 h 15 min" in page
    assert '<time datetime="2026-02-02T09:00+00:00">Mon 2 Feb, 09:00</time>' in page


def test_sheet_shows_what_was_typed_and_runs_none_of_it() -> None:
    page = draw("{% include 'frame/sheet.html' %}", sheet=sheet(slips=[{"reason": HOSTILE, "note": HOSTILE}]))
    assert "<img" not in page
    assert page.count("&lt;img src=x") == 5


def test_sheet_of_a_customer_has_no_signature_column() -> None:
    page = draw(
        "{% include 'frame/sheet.html' with yours=True %}", sheet=sheet(barcode_svg="data:image/svg+xml,x")
    )
    assert "RS" not in page
    assert "signbox" not in page
    assert "<img" not in page


class Ask(forms.Form):
    email = forms.EmailField(label="E-mail", help_text="The link goes there.")
    phone = forms.CharField(label="Phone", required=False)
    how = forms.ChoiceField(
        label="How back?",
        widget=forms.RadioSelect,
        choices=[("a", Answer("Tracked", "Signed for.")), ("b", "Plain")],
    )
    agreed = forms.BooleanField(label="I agree.")


def test_fields_keep_what_was_typed_and_say_what_is_wrong() -> None:
    form = Ask({"email": HOSTILE, "phone": ""})
    page = draw("{% include 'frame/errors.html' %}{% include 'frame/fields.html' %}", form=form)
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    for target in re.findall(r'href="#([^"]+)"', page):
        assert target in ids
    for described in re.findall(r'aria-describedby="([^"]+)"', page):
        assert set(described.split()) <= set(ids)
    assert page.count('aria-invalid="true"') == 4  # e-mail, both answers of the choice, the box
    assert 'value="&lt;img' in page
    assert page.count('class="optional"') == 1
    assert "<span>Signed for.</span>" in page


def test_title_says_error_first() -> None:
    asked = "{% extends 'frame/customer.html' %}{% block title %}Your address{% endblock %}"
    django = engines["django"]
    assert "<title>Error: Your address</title>" in django.from_string(asked).render({"form": Ask({})})
    assert "<title>Your address</title>" in django.from_string(asked).render({"form": Ask()})


def test_bill_writes_each_amount_as_money(db: None) -> None:
    bill = {
        "currency": "GBP",
        "lines": [
            {"words": "Chip", "amount": Decimal("14")},
            {"words": "Post", "amount": Money(Decimal("7.90"), "GBP")},
        ],
        "total": {"words": "Total", "amount": "no charge"},
    }
    page = draw("{% include 'frame/bill.html' %}", bill=bill)
    assert re.findall(r'class="amount">([^<]*)', page) == ["£14.00", "£7.90", "no charge"]


def test_filters_speak_the_shops_locale_and_the_pages_zone(db: None, at: datetime) -> None:
    Letterhead.objects.create(version=1, since=at, name="Quillmere Bench", locale="en_US", currency="USD")
    with timezone.override("America/New_York"):
        assert draw("{{ n|money }} {{ at|moment }} {{ at|day }} {{ at|clock }}", n=Decimal("5"), at=at) == (
            "$5.00 Mon 2 Feb, 04:00 Mon 2 February 04:00"
        )


def test_filters_say_nothing_of_nothing() -> None:
    said = draw(
        "{{ n|money }}{{ n|day }}{{ n|clock }}{{ n|moment }}{{ n|minutes }}{{ n|machine }}{{ n|spoken }}",
        n=None,
    )
    assert said == ""
    assert draw("{{ c|spoken }}", c="K7M4-3TX9").startswith("Kilo, Seven")
    assert draw("{{ p|count:'entry,entries' }}", p=[1, 2]) == "2 entries"


@pytest.mark.parametrize("name", ["400", "403", "403_csrf", "404", "413", "500", "503"])
def test_failure_page_stands_with_nothing_behind_it(name: str) -> None:
    page = render_to_string(f"{name}.html")
    assert page.startswith("<!doctype html>")
    assert re.search(r"<h1>[A-Z][^<]+</h1>", page)
    style, *ways_out = re.findall(r'href="([^"]+)"', page)
    assert style == "/static/css/plain.css"
    assert set(ways_out) <= {"/", "/bench/"}
    assert finders.find("css/plain.css")


def test_letter_holds_the_bare_address_and_the_signature() -> None:
    letterhead = Letterhead(
        name="Quillmere Bench", street="12 Solder Lane", city="Anytown", country="GB", phone="555-0100"
    )
    given = {
        "letterhead": letterhead,
        "link": "https://bench.example.com/o/abc",
        "code": "K7M4-3TX9",
        "body": "letters/fresh_link.txt",
    }
    page, text = (render_to_string(f"letters/frame.{kind}", given) for kind in ("html", "txt"))
    assert f">{given['link']}</a>" in page
    assert f"\n{given['link']}\n" in text
    assert "Quillmere Bench" in page
    assert text.startswith("K7M4-3TX9")
    assert re.findall(r'(?:src|href)="(?!https://bench\.example)', page) == []


def frame_of(path: str, person: Any, cookies: dict[str, str] | None = None) -> dict[str, Any]:
    request = RequestFactory().get(path)
    request.user = person
    request.COOKIES.update(cookies or {})
    frame: dict[str, Any] = surface.page_frame(request)["frame"]
    return frame


def test_frame_shows_no_bar_to_a_customer(db: None) -> None:
    assert {"nav", "scan_url", "who"}.isdisjoint(frame_of("/", AnonymousUser()))


def test_frame_marks_one_place_at_most(technician: Person, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        surface,
        "_address",
        lambda name: {"shop:day_sheet": "/bench/", "shop:stock": "/bench/stock/"}.get(name, ""),
    )
    nav = frame_of("/bench/stock/12/", technician)["nav"]
    assert [place["label"] for place in nav if place["here"]] == ["Stock"]


@pytest.mark.parametrize("path", ["/settings/people/", "/house/backups/", "/letters/7/"])
def test_frame_marks_settings_on_what_is_entered_through_them(owner: Person, path: str) -> None:
    assert [place["label"] for place in frame_of(path, owner)["nav"] if place["here"]] == ["Settings"]


def test_light_is_kept_on_the_device_and_comes_back_to_the_page(db: None) -> None:
    request = RequestFactory().post("/light", {"back": "/bench/?page=2"})
    answer = surface.switch_light(request)
    assert answer.headers["Location"] == "/bench/?page=2"
    assert answer.cookies["light"].value == "bench"
    request.COOKIES["light"] = "bench"
    assert surface.switch_light(request).cookies["light"].value == "day"


@pytest.mark.parametrize(
    "away", ["https://elsewhere.example.com/", "//elsewhere.example.com", "javascript:alert(1)", ""]
)
def test_light_never_leads_to_another_site(away: str) -> None:
    assert surface.switch_light(RequestFactory().post("/light", {"back": away})).headers["Location"] == "/"


def test_light_is_not_switched_by_a_get() -> None:
    assert surface.switch_light(RequestFactory().get("/light")).status_code == 405


def test_light_of_a_forged_cookie_is_day(db: None) -> None:
    assert frame_of("/", AnonymousUser(), {"light": '"><script>'})["light"] == "day"
