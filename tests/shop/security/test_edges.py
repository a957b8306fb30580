"""The edges of the web: headers that text cannot break, ways that lead nowhere else, methods, paths, cookies, patterns.

ASVS 5.0: 1.2.2, 1.3.11, 3.3.1 to 3.3.4, 3.4.x, 3.7.2 (open redirect), 4.1.4 (methods).
"""

import ast
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.conf import LazySettings
from django.db import connection
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from intake import drain, letters, tokens
from intake.models import Letter, Letterhead
from tests import walk
from tests.shop.security.rooms import House, kind_of, rooms
from tests.shop.security.test_doors_table import changes
from tests.shop.security.world import build

ROOT = Path(__file__).resolve().parents[3]
BREAKS = (
    "x\r\nBcc: all@example.com",
    "x\nBcc: all@example.com",
    "x\rBcc: all",
    "x\0y",
    "x\u2028y",
    "x\x0bBcc: y",
    "x\x85Bcc: y",
)
HEADERS = {
    "content-type", "mime-version", "subject", "from", "to", "message-id", "date", "auto-submitted",
    "content-transfer-encoding",
}  # fmt: skip
ELSEWHERE = (
    "https://elsewhere.example/", "//elsewhere.example/", "///elsewhere.example", "\\\\elsewhere.example", "/\\elsewhere.example",
    "http:elsewhere.example", "https:///elsewhere.example", "javascript:alert(1)", "data:text/html,x", " //elsewhere.example",
    "\t//elsewhere.example", "/\t/elsewhere.example", "\0//elsewhere.example", "//elsewhere.example%2f@localhost", "http://localhost@elsewhere.example/",
    "http://localhost.elsewhere.example/", "https://testserver:pw@elsewhere.example/", "ftp://testserver/", "/%0d%0aX-Injected:%20y",
)  # fmt: skip


def assert_one_mail(letter: Letter, to: str) -> None:
    letter.papers.clear()
    mail = drain.render(letter)
    message = mail.message()
    assert {name.lower() for name in message} <= HEADERS
    assert mail.recipients() == [to]
    for name, value in message.items():
        assert "\n" not in str(value).replace("\n ", " ").replace("\n\t", " "), name
    assert b"\nBcc:" not in message.as_bytes().split(b"\n\n", 1)[0]


@pytest.mark.parametrize("hostile", BREAKS)
def test_line_break_in_a_name_begins_no_header_of_a_mail(letterhead: Letterhead, hostile: str) -> None:
    """Subject, sender, recipient and name: ASVS 5.0, 1.3.11."""
    at = datetime.now(tz=UTC)
    if connection.vendor == "postgresql":
        hostile = hostile.replace("\0", "")  # no row of it can hold one
    Letterhead.objects.update(name=hostile[:80])
    order = walk.request(at=at, name=hostile, model=hostile.replace("\0", ""), make="Zarnik")
    letter = Letter.objects.filter(order=order).order_by("pk").first()
    assert letter is not None
    assert_one_mail(letter, "mara.ellwick@example.com")


def test_line_break_in_an_address_reaches_nobody_else(letterhead: Letterhead) -> None:
    order = walk.request(at=datetime.now(tz=UTC))
    for number, hostile in enumerate(BREAKS):
        letter = letters.post(
            order=order, kind="fresh_link", key=f"edge-{number}", to=f"a@example.com{hostile}", at=order.created_at, context={}
        )  # fmt: skip
        if letter is not None:
            try:
                mail = drain.render(letter)
                lines = str(mail.message()["To"])
            except ValueError:
                continue
            assert "\n" not in lines and "\r" not in lines


@given(st.text())
def test_one_line_is_one_line(text: str) -> None:
    line = letters.one_line(text)
    assert not re.search(r"[\r\n\0\x0b\x0c\x1c-\x1e\x85\u2028\u2029]", line)


@pytest.mark.parametrize("goal", ELSEWHERE)
def test_no_goal_leads_out_of_the_house(bench: SimpleNamespace, goal: str) -> None:
    browser = Client()
    typed = {"username": "pim", "password": "parcel-by-noon", "next": goal}
    answers = [browser.post(reverse("shop:sign_in"), typed)]
    answers.append(browser.post(reverse("shop:light"), {"next": goal}, HTTP_REFERER=goal.strip("\0\t ")))
    answers.append(browser.get(reverse("shop:sign_in"), {"next": goal}))
    for answer in answers:
        led = answer.headers.get("Location", "/")
        assert led.startswith("/") and not re.match(r"/[/\\]", led) and "elsewhere" not in led
        assert "X-Injected" not in answer.headers


def test_only_these_views_read_where_to_go_next() -> None:
    """A further reader of such a goal fails here until it is among those above."""
    readers = set()
    for path in (ROOT / "shop").rglob("*.py"):
        text = path.read_text()
        if re.search(
            r"(GET|POST)(\.get\(|\[)\s*[\"'](next|back|to|url|return)[\"']|HTTP_REFERER|headers\.get\(\"Referer",
            text,
        ):
            readers.add(path.relative_to(ROOT).as_posix())
    assert readers <= {
        "shop/doors/in_views.py",
        "shop/surface.py",
        "shop/pictures/views.py",
        "shop/traveller/acts/minutes.py",
        "shop/traveller/scanned.py",
    }, readers


@pytest.mark.parametrize(
    "host", ["elsewhere.example", "localhost.elsewhere.example", "localhost:x", "a b", "", "[::1"]
)
def test_foreign_host_is_refused_and_never_repeated(
    letterhead: Letterhead, settings: LazySettings, host: str
) -> None:
    settings.ALLOWED_HOSTS = ["localhost"]
    answer = Client(HTTP_HOST=host).get("/")
    assert answer.status_code == 400
    assert "elsewhere" not in answer.content.decode()


def test_letters_lead_to_the_shops_own_address_whatever_was_asked_for(
    letterhead: Letterhead, settings: LazySettings
) -> None:
    settings.SITE_ADDRESS, settings.ALLOWED_HOSTS = "https://bench.example", ["*"]
    order = walk.request(at=datetime.now(tz=UTC))
    link = tokens.give_link(order, at=datetime.now(tz=UTC))
    browser = Client(HTTP_HOST="elsewhere.example", HTTP_X_FORWARDED_HOST="elsewhere.example")
    browser.post(reverse("shop:lost_link"), {"code": order.code, "email": "mara.ellwick@example.com"})
    told = "".join(letters.readable(letter, "text") for letter in Letter.objects.all())
    assert "elsewhere" not in told and tokens.address_of(link).startswith("https://bench.example/l/")


@pytest.fixture
def house(bench: SimpleNamespace, settings: LazySettings) -> House:
    settings.DEMO = True
    return build(bench)


def test_no_address_takes_a_method_it_does_not_know(house: House) -> None:
    wrong = []
    for role in ("stranger", "owner"):
        client = house.visitor(role)
        for room in rooms():
            for method in ("PUT", "PATCH", "DELETE", "TRACE", "CONNECT", "OPTIONS", "POSTS"):
                with changes() as seen:
                    answer = client.generic(method, house.address(room))
                if (
                    kind_of(answer) not in ("not allowed method", "asks to sign in", "refused", "gone")
                    or seen
                ):
                    wrong.append(f"{method} {room.name} {role}: {answer.status_code} {seen}")
    assert wrong == []


PATHS = (
    "/%2e%2e/%2e%2e/etc/passwd", "/static/../shop/settings.py", "/static/%2e%2e/shop/settings.py", "/static/%252e%252e/shop/settings.py",
    "/static/..%5c..%5cshop/settings.py", "/static//etc/passwd", "/static/%00", "/demo/bank/..%2f..%2fsecret.key", "/demo/bank/%2e%2e",
    "/books/tables/..%2f..%2fx.csv", "/books/months/..%2f..%2fx.pdf", "/settings/prices/..%2fx/list.csv", "/sheet/%2e%2e%2fsettings/",
    "/settings/;/", "/settings/%2f", "/SETTINGS/", "/settings/%20", "/settings/.json", "/settings%00/", "/l/%0d%0aX-Injected:%20y/",
    "/l/" + "A" * 5000 + "/", "/your/%00%00%00%00-%00%00%00%00/", "/photo/99999999999999999999999999/", "/photo/-1/", "/photo/٣/", "/request/..%2f/",
    "/.env", "/.git/config", "/.data/secret.key", "/media/photos/", "/admin/", "/server-status",
)  # fmt: skip


@pytest.mark.parametrize("role", ["stranger", "owner"])
def test_crooked_path_leads_nowhere(house: House, role: str) -> None:
    client = house.visitor(role)
    for path in PATHS:
        answer = client.get(path)
        body = b"".join(answer.streaming_content) if answer.streaming else answer.content
        assert answer.status_code in (301, 302, 400, 404), (path, answer.status_code)
        assert b"SECRET_KEY" not in body and b"root:" not in body and "X-Injected" not in answer.headers, path


HTTPS = {"SITE_ADDRESS": "https://bench.example", "BEHIND_PROXY": "on", "DEBUG": "off"}
ASKED = """
import json, django
from django.conf import settings
django.setup()
names = [n for n in dir(settings) if n.startswith(("SESSION_COOKIE", "CSRF_COOKIE", "SECURE_", "X_FRAME", "MESSAGE_"))]
print(json.dumps({n: getattr(settings, n) for n in names} | {"hosts": settings.ALLOWED_HOSTS}, default=str))
"""


def test_cookies_and_transport_of_a_shop_on_https() -> None:
    """ASVS 5.0, 3.3.1 to 3.3.4 and 3.4.1: the settings as a real start reads them."""
    run = subprocess.run(
        [sys.executable, "-c", ASKED], cwd=ROOT, capture_output=True, text=True, check=True,
        env={**os.environ, **HTTPS, "DJANGO_SETTINGS_MODULE": "shop.settings"},
    )  # fmt: skip
    kept = json.loads(run.stdout)
    for cookie in ("SESSION", "CSRF"):
        assert kept[f"{cookie}_COOKIE_NAME"].startswith("__Host-")
        assert kept[f"{cookie}_COOKIE_SECURE"] is True and kept[f"{cookie}_COOKIE_HTTPONLY"] is True
        assert kept[f"{cookie}_COOKIE_SAMESITE"] == "Lax"
        assert kept[f"{cookie}_COOKIE_DOMAIN"] is None and kept[f"{cookie}_COOKIE_PATH"] == "/"
    assert kept["SECURE_HSTS_SECONDS"] >= 31_536_000 and kept["SECURE_SSL_REDIRECT"] is True
    assert kept["SECURE_CONTENT_TYPE_NOSNIFF"] is True and kept["X_FRAME_OPTIONS"] == "DENY"
    assert set(kept["hosts"]) <= {"bench.example", "localhost", "127.0.0.1", "[::1]"}


def calls_of(name: str) -> Iterator[tuple[str, ast.Call]]:
    for floor in ("intake", "quotes", "shop"):
        for path in (ROOT / floor).rglob("*.py"):
            text = path.read_text()
            if name in text:
                for node in ast.walk(ast.parse(text)):
                    if (
                        isinstance(node, ast.Call)
                        and isinstance(node.func, ast.Attribute)
                        and node.func.attr == name
                    ):
                        yield path.relative_to(ROOT).as_posix(), node


def test_every_cookie_of_our_own_is_kept_from_scripts_and_other_sites() -> None:
    for where, call in calls_of("set_cookie"):
        given_words = {word.arg for word in call.keywords}
        # The light of the page is a script's to switch, and tells nothing.
        wanted = {"samesite", "secure"} | (set() if where == "shop/surface.py" else {"httponly"})
        assert wanted <= given_words, f"{where}:{call.lineno}"
