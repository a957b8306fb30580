"""Settings: each saving is a new version, two who write at once do not undo each other, the last owner stays."""

import re
from datetime import datetime
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client

from intake import history
from intake.house import forget_house, house
from intake.models import HistoryEntry, Letterhead, Person
from quotes.models import Rates, Remedy
from shop.guard import forget_zone
from shop.models import TestSheet
from tests import walk

PAGES = [
    "settings/", "settings/letterhead/", "settings/texts/", "settings/letters/", "settings/rates/", "settings/remedies/",
    "settings/remedies/new/", "settings/tests/", "settings/tests/phone/", "settings/people/", "settings/people/new/",
    "letters/",
]  # fmt: skip


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


@pytest.fixture(autouse=True)
def _nothing_kept_over() -> Any:
    forget_house()
    forget_zone()
    yield
    forget_house()
    forget_zone()


def filled(client: Client, address: str, **changes: Any) -> dict[str, Any]:
    """What a browser would send back from that page, with changes; None takes a field out."""
    form = client.get(address).context["form"]
    sent = {}
    for field in form:
        value = field.value()
        if isinstance(value, bool):
            if value:
                sent[field.html_name] = "on"
        else:
            sent[field.html_name] = "" if value is None else value
    return {name: value for name, value in (sent | changes).items() if value is not None}


@pytest.mark.parametrize("address", PAGES)
def test_settings_are_the_owners_alone(bench: SimpleNamespace, desk: Client, address: str) -> None:
    technician = Client()
    technician.force_login(bench.technician)
    assert technician.get(f"/{address}").status_code == 403
    assert desk.get(f"/{address}").status_code == 200


def test_letterhead_saved_is_a_new_version_and_papers_keep_theirs(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    walk.request(at=at)
    assert house().phone == "555-0100"
    sent = filled(desk, "/settings/letterhead/", phone="555-0199", zone="Europe/Paris")
    assert desk.post("/settings/letterhead/", sent).status_code == 303
    new = Letterhead.current()
    assert (new.version, new.phone, new.changed_by) == (2, "555-0199", bench.owner)
    assert new.terms == Letterhead.objects.get(version=1).terms
    assert house().phone == "555-0199"
    entry = HistoryEntry.objects.get(what="letterhead changed")
    assert entry.facts == {"version": 2, "fields": ["phone", "zone"]}
    assert history.verify() is None


@pytest.mark.parametrize(
    "address",
    [
        "/settings/letterhead/",
        "/settings/texts/",
        "/settings/letters/",
        "/settings/rates/",
        "/settings/tests/phone/",
    ],
)
def test_page_sent_back_as_it_was_saves_nothing(desk: Client, address: str) -> None:
    before = HistoryEntry.objects.count()
    answer = desk.post(address, filled(desk, address), follow=True)
    assert "Nothing was different" in answer.content.decode()
    assert (Letterhead.objects.count(), Rates.objects.count(), TestSheet.objects.count()) == (1, 1, 0)
    assert HistoryEntry.objects.count() == before


@pytest.mark.parametrize(
    ("address", "mine", "theirs"),
    [
        ("/settings/texts/", {"terms": "Mine"}, {"terms": "Theirs"}),
        ("/settings/rates/", {"rush_fee": "41"}, {"rush_fee": "42"}),
        ("/settings/tests/phone/", {"soak_minutes": "41"}, {"soak_minutes": "42"}),
    ],
)
def test_second_of_two_writers_is_told_and_keeps_what_was_typed(
    desk: Client, address: str, mine: dict[str, str], theirs: dict[str, str]
) -> None:
    my_page = filled(desk, address, **mine)
    assert desk.post(address, filled(desk, address, **theirs)).status_code == 303
    told = desk.post(address, my_page)
    page = told.content.decode()
    assert told.status_code == 422
    assert "was saved while you were writing" in page
    (typed,) = mine.values()
    assert typed in page
    seen = re.search(r'name="seen" value="(\d+)"', page)
    assert seen
    assert desk.post(address, my_page | {"seen": seen.group(1)}).status_code == 303


@pytest.mark.parametrize(
    ("address", "change", "sentence"),
    [
        ("/settings/letterhead/", {"locale": "xx_nowhere"}, "no locale"),
        ("/settings/letterhead/", {"name": ""}, "required"),
        ("/settings/rates/", {"rush_fee": "-1"}, "greater than or equal to 0"),
        ("/settings/rates/", {"rush_fee": "a lot"}, "That is not a number"),
        ("/settings/rates/", {"reminder_days": "3, soon"}, "commas between"),
        ("/settings/rates/", {"band_0_to": "50"}, "Bands rise"),
        ("/settings/rates/", {"band_0_factor": "0.5"}, "below its cost"),
        ("/settings/rates/", {"quote_days": "0"}, "greater than or equal to 1"),
        ("/settings/texts/", {"symptoms": "  "}, "one line at least"),
    ],
)
def test_wrong_entry_gets_a_sentence_and_changes_nothing(
    desk: Client, address: str, change: dict[str, str], sentence: str
) -> None:
    answer = desk.post(address, filled(desk, address, **change))
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert (Letterhead.objects.count(), Rates.objects.count()) == (1, 1)


def test_rates_take_a_comma_and_a_sent_quote_keeps_its_own(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.request(at=at)
    walk.receive(order, by=bench.technician, at=at)
    walk.find(order, by=bench.owner, at=at)
    quote = walk.quote(order, by=bench.owner, at=at)
    sent = filled(desk, "/settings/rates/", rate_per_minute="1,75", tax_labour="20", reminder_days="10, 2")
    assert desk.post("/settings/rates/", sent).status_code == 303
    now = Rates.current()
    assert (now.version, now.rate_per_minute, now.reminder_days) == (2, Decimal("1.75"), [2, 10])
    assert now.tax_percents == {"labour": "20", "part": "8", "media": "8"}
    quote.refresh_from_db()
    assert quote.rates.version == 1


def test_preview_of_rates_says_both_totals_and_saves_nothing(desk: Client) -> None:
    """60 x 1.60 + 5.00 x 2 with 8 % on the part + post 12.00 = 118.80; at 2.00 a minute 142.80."""
    sent = filled(desk, "/settings/rates/", rate_per_minute="2.00", preview="1")
    page = desk.post("/settings/rates/", sent).content.decode()
    assert "change from $118.80 to $142.80" in page
    assert Rates.objects.count() == 1


def test_remedy_is_added_and_changed_and_a_taken_name_refused(desk: Client) -> None:
    new = filled(desk, "/settings/remedies/new/", name="Reball memory", minutes="90", steps="Off\n\nOn\nOff")
    assert desk.post("/settings/remedies/new/", new).status_code == 303
    row = Remedy.objects.get(name="Reball memory")
    assert (row.steps, row.flat_price, row.minutes) == (["Off", "On"], None, 90)
    address = f"/settings/remedies/{row.pk}/"
    assert desk.post(address, filled(desk, address, flat_price="150")).status_code == 303
    taken = desk.post(address, filled(desk, address, name="Fit jumper wire"))
    assert taken.status_code == 422
    assert "remedy of that name" in taken.content.decode()


def test_test_list_changed_is_a_new_version_and_an_emptied_row_goes(desk: Client) -> None:
    address = "/settings/tests/phone/"
    sent = filled(desk, address, text_0="", must_1=None, soak_minutes="45")
    assert desk.post(address, sent).status_code == 303
    sheet = TestSheet.objects.get(device_kind="phone")
    assert (sheet.version, sheet.soak_minutes) == (1, 45)
    assert sheet.rows[0] == {"text": "Starts three times", "must": False}
    empty = {name: "" for name in filled(desk, address) if name.startswith("text_")}
    assert desk.post(address, filled(desk, address, **empty)).status_code == 422
    assert desk.get("/settings/tests/toaster/").status_code == 404


def test_person_is_added_given_a_password_and_let_go(desk: Client) -> None:
    new = filled(
        desk, "/settings/people/new/", username="noor", first_name="Noor", initials="np", role="technician",
        password="short",
    )  # fmt: skip
    weak = desk.post("/settings/people/new/", new)
    assert weak.status_code == 422
    assert "too short" in weak.content.decode()
    assert desk.post("/settings/people/new/", new | {"password": "solder-and-wick"}).status_code == 303
    person = Person.objects.get(username="noor")
    assert person.initials == "NP"
    assert Client().login(username="noor", password="solder-and-wick")
    assert desk.post("/settings/people/new/", new | {"password": "solder-and-wick"}).status_code == 422
    desk.post(f"/settings/people/{person.pk}/password/", {"password": "wick-and-solder"})
    assert not Client().login(username="noor", password="solder-and-wick")
    desk.post(f"/settings/people/{person.pk}/leave/", {"active": "no"})
    assert not Client().login(username="noor", password="wick-and-solder")
    assert desk.get(f"/settings/people/{person.pk}/leave/").status_code == 405


def test_last_owner_can_neither_go_nor_become_a_technician(desk: Client, bench: SimpleNamespace) -> None:
    address = f"/settings/people/{bench.owner.pk}/"
    refused = desk.post(address, filled(desk, address, role="technician"))
    assert refused.status_code == 422
    assert "last owner" in refused.content.decode()
    desk.post(f"{address}leave/", {"active": "no"})
    bench.owner.refresh_from_db()
    assert bench.owner.is_active and bench.owner.is_owner


def test_owner_with_a_new_password_stays_signed_in(desk: Client, bench: SimpleNamespace) -> None:
    desk.post(f"/settings/people/{bench.owner.pk}/password/", {"password": "wick-and-solder"})
    assert desk.get("/settings/").status_code == 200
