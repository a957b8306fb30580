"""Opens pages of a restored copy as people would: the owner's and the bench's, and a customer's window by its link."""

import datetime as dt
from http import HTTPStatus
from urllib.parse import urlsplit

from django.conf import settings
from django.test import Client
from django.test.utils import override_settings
from django.urls import reverse

from intake import drain, tokens
from intake.models import CustomerLink, Order, Person
from intake.wording import count
from shop.doors import fresh, sessions

SHEETS, LINKS = 8, 20
STAFF_PAGES = ("day_sheet", "bags", "receiving", "stock", "lots", "letters", "settings", "letterhead", "people", "rates",
               "accounts", "journal", "proof", "books_orders", "good_boards")  # fmt: skip
PLAIN = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
Checked = tuple[bool, str]


def pages() -> Checked:
    """Twenty and more pages by an owner's sign-in, the newest sheets among them."""
    person = Person.objects.filter(role=Person.Role.OWNER, is_active=True).order_by("pk").first()
    if person is None:
        return False, "There is no owner in the copy who could sign in."
    with _plain():
        client = _client()
        client.force_login(person)
        session = client.session
        session[fresh.PROVED_AT], session[sessions.WITH_CODE] = drain.now().timestamp(), True
        session.save()
        found = {
            address: client.get(address, secure=settings.SECURE_SITE).status_code for address in _addresses()
        }
    faults = [f"{address} answers {status}" for address, status in found.items() if status != HTTPStatus.OK]
    if faults:
        return False, f"{count(len(faults), 'page')} did not open: {'; '.join(faults[:3])}."
    return True, f"{count(len(found), 'page')} opened."


def _addresses() -> list[str]:
    newest = Order.objects.order_by("-pk").values_list("code", flat=True)[:SHEETS]
    return [
        *(reverse(f"shop:{name}") for name in STAFF_PAGES),
        *(reverse("shop:sheet", args=[code]) for code in newest),
    ]


def links(*, at: dt.datetime) -> Checked:
    """The newest live links of customers lead to their windows, with the keys of the machine that proves."""
    rows = CustomerLink.objects.filter(revoked_at=None, expires_at__gt=at, purpose="window").order_by("-pk")
    known = [address for link in rows[:LINKS] if (address := tokens.address_of(link))]
    with _plain():
        answers = {address: _visit(address) for address in known}
    shut = [status for status in answers.values() if status != HTTPStatus.OK]
    if shut:
        return False, f"{count(len(shut), 'link')} of customers did not open ({shut[0]})."
    if not known and rows.exists():
        return False, "No link of a customer can be worked out with the secret key given."
    return True, f"{count(len(known), 'link')} of customers opened."


def _visit(address: str) -> int:
    """How the window answers at the end of the way a link leads."""
    return _client().get(urlsplit(address).path, follow=True, secure=settings.SECURE_SITE).status_code


def _client() -> Client:
    return Client(raise_request_exception=False, headers={"host": "localhost"})


def _plain() -> override_settings:
    """The copy has no collected static files, and needs none to show that its pages open."""
    return override_settings(STORAGES=PLAIN, WHITENOISE_AUTOREFRESH=True)
