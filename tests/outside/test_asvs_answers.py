"""What the server answers, keeps and refuses, where no other test of the house already shows it.

Source: OWASP Application Security Verification Standard 5.0.0 (2025); the numbers beside the tests are its
requirements, the wording is ours.
"""

import ssl
from http.cookies import SimpleCookie
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as house
from django.contrib.auth.hashers import PBKDF2PasswordHasher, get_hashers
from django.contrib.auth.password_validation import validate_password
from django.contrib.messages.storage.session import SessionStorage
from django.core.exceptions import ValidationError
from django.core.mail.backends.smtp import EmailBackend
from django.test import Client
from django.utils.module_loading import import_string
from waitress.adjustments import Adjustments
from waitress.parser import HTTPRequestParser

from intake.models import Person

ROOT = Path(__file__).resolve().parent.parent.parent
PASSWORD = "quiet river under seven lamps"
pytestmark = pytest.mark.django_db


@pytest.fixture
def https(settings, tmp_path, monkeypatch) -> dict[str, Any]:
    """The settings as a shop with a public https address has them, in force for the pages of this test."""
    for name, value in {
        "SITE_ADDRESS": "https://testserver",
        "BENCHPOST_DATA": str(tmp_path / "data"),
    }.items():
        monkeypatch.setenv(name, value)
    source = (ROOT / "shop" / "settings.py").read_text(encoding="utf-8")
    found: dict[str, Any] = {"__file__": str(ROOT / "shop" / "settings.py"), "__name__": "read"}
    exec(compile(source, "settings", "exec"), found)
    for name, value in found.items():
        if name.startswith(("SESSION_", "CSRF_", "SECURE_", "X_FRAME", "MESSAGE_")):
            setattr(settings, name, value)
    return found


def cookies_of(client: Client) -> SimpleCookie:
    return client.cookies


def test_every_cookie_of_a_public_shop_is_bound_and_closed(https, owner: Person) -> None:
    """3.3.1 to 3.3.4: prefix, Secure, SameSite, and HttpOnly where no script of ours reads it."""
    client = Client()
    client.get("/sign-in/", secure=True)
    owner.set_password(PASSWORD)
    owner.save()
    signed_in = client.post("/sign-in/", {"username": owner.username, "password": PASSWORD}, secure=True)
    assert signed_in.status_code == 303
    client.post("/light/", {"back": "/"}, secure=True)
    client.get("/send/", secure=True, follow=True)
    assert {"__Host-session", "__Host-form", "__Host-light"} <= set(cookies_of(client))
    for name, cookie in cookies_of(client).items():
        assert name.startswith("__Host-"), name
        assert cookie["samesite"] == "Lax", name
        assert cookie["path"] == "/", name
        assert not cookie["domain"], name
        assert len(name) + len(cookie.value) < 4096
        assert cookie["secure"], name
        assert cookie["httponly"] or name == "__Host-light", name


def test_answers_of_a_public_shop_carry_the_protections(https) -> None:
    """3.4.1, 3.4.2, 3.4.4 to 3.4.6, 3.4.8, 4.1.1: on a page, a refusal and a page that is not there."""
    client = Client()
    for path in ("/", "/sign-in/", "/no-such-page/", "/bench/"):
        answer = client.get(path, secure=True)
        assert answer.headers["Strict-Transport-Security"] == "max-age=31536000; includeSubDomains; preload"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Referrer-Policy"] == "same-origin"
        assert answer.headers["Cross-Origin-Opener-Policy"] == "same-origin"
        assert "frame-ancestors 'none'" in answer.headers["Content-Security-Policy"]
        assert answer.headers["Content-Type"] == "text/html; charset=utf-8"
        assert not [name for name in answer.headers if name.startswith("Access-Control-")]
        assert not {"Server", "X-Powered-By"} & set(answer.headers)


def test_unsealed_request_of_a_public_shop_is_led_to_https(https) -> None:
    """12.2.1: nothing is answered in the clear."""
    for path in ("/", "/sign-in/", "/bench/"):
        answer = Client().get(path)
        assert (answer.status_code, answer.url) == (301, f"https://testserver{path}")


@pytest.mark.parametrize(
    "path",
    [
        "/static/",
        "/static/js/",
        "/.git/config",
        "/static/../.git/config",
        "/static/%2e%2e/.git/config",
        "/.env",
    ]
    + ["/static/..%2f..%2fsecret.key", "/media/", "/manage.py", "/admin/", "/__debug__/"],
)
def test_nothing_but_pages_and_published_files_is_handed_out(path) -> None:
    """13.4.1, 13.4.3, 13.4.5, 5.3.1: no list of a folder, no source, no key, no page for machines left open."""
    assert Client().get(path).status_code in (400, 404)


def test_told_on_the_next_page_waits_on_the_server() -> None:
    """14.3.3: what may name a person is in no cookie."""
    assert import_string(house.MESSAGE_STORAGE) is SessionStorage


@pytest.mark.parametrize("method", ["TRACE", "PUT", "PATCH", "DELETE", "CONNECT", "PROPFIND"])
def test_method_no_page_has_a_use_for_is_refused(method) -> None:
    """4.1.4, 13.4.4: nothing is echoed and nothing is changed by one."""
    for path in ("/", "/sign-in/", "/bench/", "/no-such-page/"):
        answer = Client(headers={"x-secret": "mark"}).generic(method, path, data="mark")
        assert answer.status_code == 405
        assert b"mark" not in answer.content


def test_signing_out_ends_the_session_on_the_server_and_clears_the_pages(
    client: Client, owner: Person
) -> None:
    """7.4.1, 14.3.1: the old key of the session opens nothing, and the browser is told to forget the pages."""
    client.force_login(owner)
    old = client.cookies[house.SESSION_COOKIE_NAME].value
    answer = client.post("/sign-out/")
    assert answer.headers["Clear-Site-Data"] == '"cache"'
    stolen = Client()
    stolen.cookies[house.SESSION_COOKIE_NAME] = old
    assert stolen.get("/bench/").status_code == 302


def test_session_key_is_long_and_random(client: Client, owner: Person) -> None:
    """7.2.3: 32 characters of 36 kinds, 165 bits, from the system's generator."""
    keys = set()
    for _ in range(20):
        stranger = Client()
        stranger.force_login(owner)
        keys.add(stranger.cookies[house.SESSION_COOKIE_NAME].value)
    assert len(keys) == 20
    assert all(len(key) == 32 and key.isalnum() for key in keys)


def test_signed_in_pages_offer_the_way_out(client: Client, owner: Person, letterhead: object) -> None:
    """7.4.4: the frame of every page of the bench holds it."""
    client.force_login(owner)
    assert 'action="/sign-out/"' in client.get("/bench/").content.decode()


def test_passwords_are_kept_by_a_slow_digest() -> None:
    """11.4.2: PBKDF2 with SHA-256; 600,000 rounds is what the OWASP password storage sheet asks (from memory)."""
    default = import_string("django.conf.global_settings.PASSWORD_HASHERS")[0]
    assert default.endswith("PBKDF2PasswordHasher")
    assert PBKDF2PasswordHasher.iterations >= 600_000
    assert get_hashers()


@pytest.mark.parametrize(
    "good", ["quiet river under seven lamps", "aaaa bbbb cccc xyzw", "ÄÖÜ ßß çç ññ 漢字漢字", "x1" * 64]
)
def test_password_of_any_composition_is_taken(good) -> None:
    """6.2.5, 6.2.9: no rule of letters, digits and signs, and long ones are welcome."""
    validate_password(good)


@pytest.mark.parametrize(
    "poor",
    ["short", "password1234", "123456789012", "quillmere-bench-1", "Benchpost2026!!", "solder-board-99"],
)
def test_password_that_is_tried_first_is_refused(poor, letterhead) -> None:
    """6.2.1, 6.2.4, 6.2.11: too short, known to everybody, or made of the shop's own words."""
    with pytest.raises(ValidationError):
        validate_password(poor)


def test_password_is_compared_as_it_was_typed(client: Client, owner: Person) -> None:
    """6.2.8: nothing is cut off, trimmed or made small."""
    owner.set_password("  Quiet River 17 lamps  ")
    owner.save()
    for typed in ("Quiet River 17 lamps", "  quiet river 17 lamps  ", "  Quiet River 17 lamps"):
        assert client.post("/sign-in/", {"username": owner.username, "password": typed}).status_code == 422
    assert (
        client.post(
            "/sign-in/", {"username": owner.username, "password": "  Quiet River 17 lamps  "}
        ).status_code
        == 303
    )


def test_password_fields_hide_and_let_helpers_in(client: Client) -> None:
    """6.2.6, 6.2.7: masked, and nothing keeps a password manager or a paste out."""
    page = client.get("/sign-in/").content.decode()
    assert 'type="password"' in page
    assert 'autocomplete="current-password"' in page
    assert "onpaste" not in page


def test_mail_server_without_a_right_certificate_gets_no_letter() -> None:
    """12.3.2: the certificate and the name on it are checked."""
    context = EmailBackend(host="mail.example.com", use_tls=True).ssl_context
    assert (context.verify_mode, context.check_hostname) == (ssl.CERT_REQUIRED, True)


def parsed(*lines: bytes) -> HTTPRequestParser:
    parser = HTTPRequestParser(Adjustments())
    sent = b"\r\n".join(lines)
    while sent and not parser.completed:
        sent = sent[parser.received(sent) :]
    return parser


def test_request_with_two_lengths_is_not_taken_as_two() -> None:
    """4.2.1: with a chunked body the other length counts for nothing; what is unclear is refused. RFC 9112, 6.1 to 6.3."""
    both = parsed(
        b"POST / HTTP/1.1",
        b"Host: x",
        b"Content-Length: 60",
        b"Transfer-Encoding: chunked",
        b"",
        b"0",
        b"",
        b"",
    )
    assert both.completed
    assert both.error is None
    assert both.chunked
    for doubtful in (
        (b"Content-Length: 5", b"Content-Length: 6"),
        (b"Content-Length: +5",),
        (b"Content-Length: 5, 5",),
        (b"Transfer-Encoding: chunked, identity",),
        (b"Transfer-Encoding : chunked",),
    ):
        assert parsed(b"POST / HTTP/1.1", b"Host: x", *doubtful, b"", b"").error is not None, doubtful
