"""The price book: every price with its why, looking before saving, versions used again, lists out and in."""

import io
import re
from datetime import datetime
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from intake import history
from intake.models import HistoryEntry, Letterhead
from quotes.models import Part, Rates, Remedy, Surcharge, TradeTier
from quotes.price_lists.keeping import TAKEN_IN
from tests import walk
from tests.intake import request_walk
from tests.shop.office.test_settings import filled

PAGES = [
    "settings/prices/", "settings/prices/parts/", "settings/prices/changes/", "settings/prices/parts/in/", "settings/prices/remedies/in/",
    "settings/prices/surcharges/in/", "settings/prices/parts/list.csv", "settings/prices/parts/list.xlsx",
    "settings/surcharges/", "settings/surcharges/new/", "settings/tiers/", "settings/tiers/new/",
    "settings/rates/versions/", "settings/rates/versions/1/",
]  # fmt: skip


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.owner)
    return client


def page(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, address
    return answer.content.decode()


def sent_in(client: Client, text: str, kind: str = "parts") -> Any:
    file = SimpleUploadedFile("list.csv", text.encode())
    return client.post(f"/settings/prices/{kind}/in/", {"file": file})


@pytest.mark.parametrize("address", PAGES)
def test_price_book_is_the_owners_alone(bench: SimpleNamespace, desk: Client, address: str) -> None:
    technician = Client()
    technician.force_login(bench.technician)
    assert technician.get(f"/{address}").status_code == 403
    assert desk.get(f"/{address}").status_code == 200
    assert technician.post(f"/{address}").status_code in (403, 405)


@pytest.mark.parametrize("address", ["/settings/prices/shoes/in/", "/settings/prices/parts/list.pdf", "/settings/rates/versions/9/"])  # fmt: skip
def test_what_is_not_there_is_not_found(desk: Client, address: str) -> None:
    assert desk.get(address).status_code == 404


def test_part_page_and_list_say_what_it_sells_for_and_why(desk: Client, bench: SimpleNamespace) -> None:
    """Cost 0.22 x 4 = 0.88 by the first band, raised to the smallest price of 1.20, taxed at 8 %."""
    part = Part.objects.get(number="FILT-3")
    Part.objects.filter(pk=part.pk).update(list_price=None, minimum_price=Decimal("1.20"))
    for address in ("/settings/prices/parts/", f"/stock/{part.pk}/"):
        text = page(desk, address)
        assert "Cost 0.22 x 4 = 0.88." in text and "Raised to the smallest price: 1.20." in text
    technician = Client()
    technician.force_login(bench.technician)
    assert "Sells for now" not in page(technician, f"/stock/{part.pk}/")


def test_technician_changes_a_part_and_leaves_what_only_the_owner_sets(
    desk: Client, bench: SimpleNamespace
) -> None:
    part = Part.objects.get(number="FILT-3")
    sent = {
        "name": part.name, "active": "on", "reorder_at": "0", "list_price": "3", "minimum_price": "2.5",
        "tax_kind": "media", "special": "on",
    }  # fmt: skip
    assert desk.post(f"/stock/{part.pk}/describe/", sent).status_code == 303
    technician = Client()
    technician.force_login(bench.technician)
    sent |= {"minimum_price": "0", "tax_kind": "", "name": "Filter"}
    assert technician.post(f"/stock/{part.pk}/describe/", sent).status_code == 303
    part.refresh_from_db()
    assert (part.name, part.minimum_price, part.tax_kind, part.special) == (
        "Filter",
        Decimal("2.5"),
        "media",
        True,
    )
    facts = [entry.facts for entry in HistoryEntry.objects.filter(what="part changed").order_by("seq")]
    assert facts[0]["changes"]["minimum_price"] == [None, "2.5"]
    assert facts[1]["changes"] == {"name": ["Display filter, three-way", "Filter"]}
    assert history.verify() is None


def test_looking_at_rates_names_what_moves_and_saving_takes_just_that(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.request(at=at)
    walk.receive(order, by=bench.technician, at=at)
    walk.find(order, by=bench.owner, at=at)
    sent = filled(desk, "/settings/rates/", rate_per_minute="2")
    text = desk.post("/settings/rates/", {**sent, "preview": "1"}).content.decode()
    assert "Replace power chip" in text and "$144.00" in text and "$180.00" in text
    assert "3 dearer, 0 cheaper" in text and "Quotes that were sent keep their rates" in text
    looked = re.search(r'name="looked" value="(\w+)"', text)
    assert looked
    changed = desk.post("/settings/rates/", {**sent, "rate_per_minute": "3", "looked": looked.group(1)})
    assert changed.status_code == 200 and "$270.00" in changed.content.decode()
    assert Rates.objects.count() == 1
    assert desk.post("/settings/rates/", {**sent, "looked": looked.group(1)}).status_code == 303
    entry = HistoryEntry.objects.get(what="rates changed")
    assert (entry.facts["before"], entry.facts["after"]) == (
        {"rate_per_minute": "1.6"},
        {"rate_per_minute": "2"},
    )
    same = desk.post("/settings/rates/", {**filled(desk, "/settings/rates/"), "preview": "1"})
    assert "Nothing is different" in same.content.decode()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"diagnosis": "declined", "declined_fee": ""}, "Say how much, or let looking be free."),
        ({"diagnosis": "waived", "declined_fee": "20"}, "Say from which quote on"),
        ({"overrun_rule": "greater"}, "Say a sum, a share or both."),
        ({"overrun_rule": "share", "overrun_sum": "5"}, "Say how many percent."),
        ({"cash_step": "0.005"}, "USD has 2 digits after the point."),
        ({"interest_percent": "101"}, "less than or equal to 100"),
        ({"tax_profile": "atlantis"}, "not one of the available choices"),
    ],
)
def test_choice_that_needs_a_sum_says_so(desk: Client, change: dict[str, str], sentence: str) -> None:
    answer = desk.post("/settings/rates/", filled(desk, "/settings/rates/", **change))
    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert Rates.objects.count() == 1


def test_fee_for_looking_is_said_before_a_customer_sends(desk: Client) -> None:
    """20.00 with 10 % on fees is 22.00; the sentence stands on the front, at the check and in the history."""
    assert "looking for the fault costs" not in page(Client(), "/")
    change = {"diagnosis": "waived", "declined_fee": "20", "fee_waived_above": "150", "tax_fee": "10"}
    assert desk.post("/settings/rates/", filled(desk, "/settings/rates/", **change)).status_code == 303
    said = "If you say no to a quote of up to $150.00, looking for the fault costs $22.00."
    assert Letterhead.current().diagnosis_words.startswith(said)
    assert said in page(Client(), "/")
    customer = Client()
    request_walk.fill(customer)
    assert said in page(customer, request_walk.url("check"))
    free = filled(desk, "/settings/rates/", diagnosis="free")
    assert desk.post("/settings/rates/", free).status_code == 303
    rates = Rates.current()
    assert (rates.declined_fee, rates.fee_waived_above) == (0, None)
    assert Letterhead.current().diagnosis_words == ""


def test_tax_profile_is_chosen_by_name_and_counts_its_versions(desk: Client) -> None:
    text = page(desk, "/settings/rates/")
    assert "Repair labour is not taxed in California." in text and "Confirm with a tax adviser" in text
    sent = filled(desk, "/settings/rates/", tax_profile="california", tax_profile_percent="8,50")
    assert desk.post("/settings/rates/", sent).status_code == 303
    rules = Rates.current().tax_rules
    assert (rules["name"], rules["version"], rules["rules"][4]["percent"]) == ("California", 1, "8.5")
    again = desk.post("/settings/rates/", filled(desk, "/settings/rates/"), follow=True)
    assert "Nothing was different" in again.content.decode()
    other = filled(desk, "/settings/rates/", tax_profile="new_york", tax_profile_percent="")
    assert desk.post("/settings/rates/", other).status_code == 303
    assert (Rates.current().tax_rules["name"], Rates.current().tax_rules["version"]) == ("New York", 2)
    back = filled(desk, "/settings/rates/", tax_profile="by_kind")
    assert desk.post("/settings/rates/", back).status_code == 303
    assert Rates.current().tax_rules == {}


def test_version_is_used_again_as_a_new_one(desk: Client) -> None:
    for price in ("2", "3"):
        sent = filled(desk, "/settings/rates/", rate_per_minute=price)
        assert desk.post("/settings/rates/", sent).status_code == 303
    assert "A bench minute sells for" in page(desk, "/settings/rates/versions/")
    text = page(desk, "/settings/rates/versions/1/")
    assert "Use this version again" in text and "from $202.80 to $118.80" in text
    stale = desk.post("/settings/rates/versions/1/", {"seen": "2"})
    assert stale.status_code == 422 and "Version 3 was saved" in stale.content.decode()
    assert desk.post("/settings/rates/versions/1/", {"seen": "3"}).status_code == 303
    now = Rates.current()
    assert (now.version, now.rate_per_minute) == (4, Decimal("1.6"))
    assert "This is what holds now" in page(desk, "/settings/rates/versions/1/")


def test_remedy_says_its_price_and_its_minutes_rise(desk: Client) -> None:
    remedy = Remedy.objects.get(name="Replace power chip")
    address = f"/settings/remedies/{remedy.pk}/"
    assert "90 minutes x 1.60 = 144.00." in page(desk, address)
    wrong = desk.post(address, filled(desk, address, minutes_low="91", minutes_high="80"))
    assert wrong.status_code == 422
    text = wrong.content.decode()
    assert "more than the 90 standard minutes" in text and "less than the 90 standard minutes" in text
    right = filled(desk, address, minutes_low="60", minutes_high="140", flat_price="1 200,50", tax_kind="fee")
    assert desk.post(address, right).status_code == 303
    remedy.refresh_from_db()
    assert (remedy.minutes_low, remedy.minutes_high, remedy.flat_price) == (60, 140, Decimal("1200.5"))
    entry = HistoryEntry.objects.get(what="remedy changed")
    assert entry.facts["changes"]["flat_price"] == [None, "1200.5"]


def test_surcharge_is_a_sum_or_a_share(desk: Client) -> None:
    assert "No surcharges yet" in page(desk, "/settings/surcharges/")
    new = filled(desk, "/settings/surcharges/new/", name="Weekend", kind="rush", percent="12,5")
    both = desk.post("/settings/surcharges/new/", {**new, "amount": "4"})
    assert both.status_code == 422 and "one of the two" in both.content.decode()
    assert desk.post("/settings/surcharges/new/", new).status_code == 303
    row = Surcharge.objects.get()
    assert (row.percent, row.amount, row.active) == (Decimal("12.5"), None, True)
    assert "12.5 % of labour and parts" in page(desk, "/settings/surcharges/")
    assert desk.post("/settings/surcharges/new/", new).status_code == 422
    address = f"/settings/surcharges/{row.pk}/"
    again = desk.post(address, filled(desk, address), follow=True)
    assert "Nothing was different" in again.content.decode()


def test_trade_tier_is_typed_and_shown_as_percents_less(desk: Client) -> None:
    """60 minutes x 1.60 = 96.00; 15 % less is 81.60."""
    assert "No trade tiers yet" in page(desk, "/settings/tiers/")
    new = filled(desk, "/settings/tiers/new/", name="Shops", labour_less="15", parts_less="-2.5")
    assert desk.post("/settings/tiers/new/", new).status_code == 303
    row = TradeTier.objects.get()
    assert (row.labour_factor, row.parts_factor) == (Decimal("0.85"), Decimal("1.025"))
    text = page(desk, "/settings/tiers/")
    assert "15 % less" in text and "2.5 % more" in text and "$81.60" in text
    assert desk.post("/settings/tiers/new/", {**new, "name": "Free", "labour_less": "100"}).status_code == 422


def test_list_goes_out_and_comes_in_after_a_look(desk: Client) -> None:
    out = desk.get("/settings/prices/parts/list.xlsx")
    assert out["Content-Disposition"] == 'attachment; filename="parts.xlsx"'
    book = openpyxl.load_workbook(io.BytesIO(out.content))
    assert book.worksheets[0]["A2"].value == "ANT-J1"
    text = desk.get("/settings/prices/parts/list.csv").content.decode("utf-8-sig")
    nothing = sent_in(desk, text)
    assert nothing.status_code == 200 and "Nothing changes" in nothing.content.decode()
    seen = sent_in(desk, text.replace("6.00", "7.25"))
    shown = seen.content.decode()
    assert "Take in all 1" in shown and "ANT-J1" in shown and "$7.25" in shown
    assert Part.objects.get(number="ANT-J1").list_price == 6
    keys = dict(re.findall(r'name="(digest|seen)" value="(\w{64})"', shown))
    for _ in range(2):
        assert desk.post("/settings/prices/parts/in/", keys).status_code == 303
    part = Part.objects.get(number="ANT-J1")
    assert (part.list_price, part.on_hand) == (Decimal("7.25"), 8)
    entry = HistoryEntry.objects.get(what=TAKEN_IN)
    assert entry.who == "ansel"
    book_page = page(desk, "/settings/prices/")
    assert entry.facts["before"] in book_page
    back = desk.post("/settings/prices/parts/in/", {"digest": entry.facts["before"]}).content.decode()
    assert "Take in all 1" in back and "7.25" in back


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({}, "Choose the file first."),
        ({"file": SimpleUploadedFile("list.csv", b"")}, "The file is empty."),
        ({"file": SimpleUploadedFile("list.csv", b"x" * 2_100_000)}, "over 2 MB"),
        ({"file": SimpleUploadedFile("list.xlsx", b"PK broken")}, "broken"),
        ({"digest": "0" * 64}, "not here any more"),
        ({"digest": "../secret.key", "seen": "x"}, "not here any more"),
        ({"file": SimpleUploadedFile("list.csv", b"Number,Colour\nFILT-3,red\n")}, "There is no column"),
        ({"file": SimpleUploadedFile("list.csv", b"Number,List price\nFILT-3,1.234\n")}, "two ways"),
    ],
)
def test_file_that_is_wrong_gets_a_sentence_and_changes_nothing(
    desk: Client, sent: dict[str, Any], sentence: str
) -> None:
    before = list(Part.objects.values())
    answer = desk.post("/settings/prices/parts/in/", sent)
    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert list(Part.objects.values()) == before


def test_changes_are_told_with_old_and_new(desk: Client) -> None:
    assert "No change yet" in page(desk, "/settings/prices/changes/")
    desk.post("/settings/rates/", filled(desk, "/settings/rates/", rush_fee="40"))
    remedy = Remedy.objects.get(name="Replace power chip")
    desk.post(
        f"/settings/remedies/{remedy.pk}/", filled(desk, f"/settings/remedies/{remedy.pk}/", minutes="95")
    )
    keys = re.findall(
        r'name="(digest|seen)" value="(\w{64})"',
        sent_in(desk, "Number,List price\nFILT-3,4\n").content.decode(),
    )
    desk.post("/settings/prices/parts/in/", dict(keys))
    text = page(desk, "/settings/prices/changes/")
    for said in ("Rush fee:</span> 35 → 40", "Minutes:</span> 90 → 95", "FILT-3: List price:</span> 3 → 4"):
        assert said in text
