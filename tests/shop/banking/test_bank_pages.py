"""The owner's bank: looked at, taken in, said what it is; nothing lost of what was typed, nothing done by looking."""

import re
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from intake.models import Letterhead
from quotes import billing
from quotes.bank.movements import LARGEST_FILE
from quotes.models import BankLine, BankMatch, BankStatement, Invoice, Payment
from tests import walk

FOLDER = Path(__file__).resolve().parents[3] / "fixtures" / "bank"
OLD = (FOLDER / "version_02.xml").read_bytes()


def send(client: Client, data: bytes, name: str = "february.csv") -> Any:
    return client.post("/accounts/bank/look/", {"file": SimpleUploadedFile(name, data)})


def hidden(page: str) -> dict[str, str]:
    """The hidden fields of the form that takes it in."""
    form = page[page.index('action="/accounts/bank/take-in/"') :]
    return dict(
        re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', form[: form.index("</form>")])
    )


def taken(client: Client, data: bytes, name: str = "february.csv") -> list[BankLine]:
    looked = send(client, data, name)
    assert looked.status_code == 200, looked.content.decode()
    answer = client.post("/accounts/bank/take-in/", hidden(looked.content.decode()))
    assert answer.status_code == 303
    return list(BankLine.objects.order_by("pk"))


def csv_of(*rows: str) -> bytes:
    return ("Date,Amount,Payer,Reference,Text\n" + "\n".join(rows) + "\n").encode()


@pytest.mark.parametrize("address", ["/accounts/bank/", "/accounts/bank/done/"])
def test_bank_is_the_owners_alone_and_looking_changes_nothing(bench, desk, address) -> None:
    technician = Client()
    technician.force_login(bench.technician)
    assert technician.get(address).status_code == 403
    assert Client().get(address).status_code == 302
    assert desk.get(address).status_code == 200


@pytest.mark.parametrize(
    "address", ["look/", "take-in/", "lines/1/confirm/", "lines/1/not-ours/", "cards/1/again/"]
)
def test_acts_are_posts_and_the_owners(bench, desk, address) -> None:
    technician = Client()
    technician.force_login(bench.technician)
    assert desk.get(f"/accounts/bank/{address}").status_code == 405
    assert technician.post(f"/accounts/bank/{address}").status_code == 403


def test_look_shows_what_would_come_and_writes_nothing(desk) -> None:
    page = send(desk, OLD, "old.xml").content.decode()
    assert "4 new movements" in page and "it adds up" in page and "Bertil Okané" in page
    assert not BankStatement.objects.exists()
    assert len(taken(desk, OLD, "old.xml")) == 4
    again = send(desk, OLD, "old.xml")
    assert again.status_code == 422 and "Nothing is new in it" in again.content.decode()


def test_overlapping_file_says_what_is_known(desk) -> None:
    taken(desk, csv_of("2026-02-05,5.00,A,,"))
    page = send(desk, csv_of("2026-02-05,5.00,A,,", "2026-02-06,6.00,B,,")).content.decode()
    assert "1 new movement" in page and "1 movement is known already" in page


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"<Document", "no whole XML"),
        (OLD.replace(b"USD", b"EUR"), "The statement is in EUR"),
        (OLD.replace(b">1214.30<", b">1.00<"), "does not add up"),
        (csv_of("2026-02-05,x,A,,", '2026-02-05,1.00,"=cmd|x",,'), "Row 3"),
        (b"", "The file is empty"),
        (b"x" * (LARGEST_FILE + 1), "over 10 MB"),
    ],
)
def test_bad_file_is_a_sentence_beside_the_field(desk, data, sentence) -> None:
    answer = send(desk, data)
    page = answer.content.decode()
    assert answer.status_code == 422 and sentence in page and "Error: " in page
    assert not BankStatement.objects.exists()


def test_no_file_and_a_file_that_is_gone_are_said(desk) -> None:
    assert "Choose the file first" in desk.post("/accounts/bank/look/").content.decode()
    for digest in ("0" * 64, "../../etc/passwd", ""):
        answer = desk.post("/accounts/bank/take-in/", {"digest": digest})
        assert answer.status_code == 422 and "choose it again" in answer.content.decode()


def test_columns_nobody_knows_are_asked_and_the_file_is_kept_meanwhile(desk) -> None:
    asked = send(desk, b"when;wer;wieviel\n2026-02-05;Mara Ellwick;12,50\n")
    page = asked.content.decode()
    assert asked.status_code == 422 and "Say which column" in page and "Mara Ellwick" in page
    kept = dict(re.findall(r'name="(digest|file_name)" value="([^"]*)"', page))
    said = {**kept, "column_day": "0", "column_name": "1", "column_amount": "2"}
    looked = desk.post("/accounts/bank/look/", said)
    assert looked.status_code == 200 and "1 new movement" in looked.content.decode()
    assert desk.post("/accounts/bank/take-in/", hidden(looked.content.decode())).status_code == 303
    assert BankLine.objects.get().amount == Decimal("12.50")


def test_best_proposal_first_one_press_books_it_and_the_next_line_has_the_keyboard(desk, order) -> None:
    invoice = Invoice.objects.get(order=order)
    owed = billing.balance(order)
    row, rent = taken(
        desk, csv_of(f"2026-02-05,{owed},Mara,{invoice.reference},", "2026-02-05,-900.00,Anytown Rents,,rent")
    )
    page = desk.get("/accounts/bank/").content.decode()
    form = page[page.index(f'action="/accounts/bank/lines/{row.pk}/confirm/"') :]
    share = re.search(r'name="share" value="([^"]+)"', form)[1]
    why = re.search(r'name="why" value="([^"]+)"', form)[1]
    assert share.startswith(order.code) and "reference" in why
    answer = desk.post(f"/accounts/bank/lines/{row.pk}/confirm/", {"share": share, "why": why})
    assert answer.status_code == 303 and answer.headers["Location"] == "/accounts/bank/?next=1"
    assert billing.balance(order) == 0
    page = desk.get("/accounts/bank/?next=1").content.decode()
    assert f"line-{rent.pk}" in page and f"line-{row.pk}" not in page
    assert "Matched: " in page and order.code in page
    assert order.code in desk.get("/accounts/bank/done/").content.decode()


def test_pressing_twice_books_once_and_says_so(desk, order) -> None:
    owed = billing.balance(order)
    (row,) = taken(desk, csv_of(f"2026-02-05,{owed},Mara,,"))
    sent = {"share": f"{order.code}|{owed}|bill", "why": "It fits."}
    for _ in range(2):
        assert desk.post(f"/accounts/bank/lines/{row.pk}/confirm/", sent).status_code == 303
    assert Payment.objects.filter(order=order).count() == 1
    assert "Nothing has changed" in desk.get("/accounts/bank/").content.decode()


@pytest.mark.parametrize(
    "share", ["", "x", "a|b|c", "K7M4-3TX9|NaN|bill", "K7M4-3TX9|1|gift", "K7M4-3TX9|5.00|bill"]
)
def test_share_no_button_of_ours_sends_books_nothing(desk, share) -> None:
    (row,) = taken(desk, csv_of("2026-02-05,5.00,Mara,,"))
    answer = desk.post(f"/accounts/bank/lines/{row.pk}/confirm/", {"share": share, "why": "w"})
    assert answer.status_code == 422
    assert not BankMatch.objects.exists()


def test_typed_orders_are_kept_with_the_sentence_and_then_booked(desk, order) -> None:
    owed = billing.balance(order)
    (row,) = taken(desk, csv_of(f"2026-02-05,{owed + 1},Somebody,,"))
    address = f"/accounts/bank/lines/{row.pk}/by-hand/"
    wrong = desk.post(address, {"orders": f"{order.code} {owed}", "purpose": "bill"})
    page = wrong.content.decode()
    assert wrong.status_code == 422 and "1.00 are left" in page and f"{order.code} {owed}</textarea>" in page
    assert (
        "An order code has eight characters"
        in desk.post(address, {"orders": "ABC", "purpose": "bill"}).content.decode()
    )
    assert desk.post(address, {"orders": order.code.lower(), "purpose": "bill"}).status_code == 303
    assert billing.balance(order) == -1


def test_not_ours_needs_a_word_and_offers_it_the_next_time(desk) -> None:
    first, second = taken(
        desk, csv_of("2026-02-05,-900.00,Anytown Rents,,rent", "2026-03-05,-900.00,Anytown Rents,,rent")
    )
    assert (
        "in a word or two"
        in desk.post(f"/accounts/bank/lines/{first.pk}/not-ours/", {"why": ""}).content.decode()
    )
    assert desk.post(f"/accounts/bank/lines/{first.pk}/not-ours/", {"why": "Rent"}).status_code == 303
    assert '<option value="Rent">' in desk.get("/accounts/bank/").content.decode()
    assert BankMatch.objects.get().line == first and second.pk


def test_payment_that_stands_on_the_sheet_is_tied_with_one_press(desk, bench, order, at) -> None:
    walk.pay(order, by=bench.technician, at=at, kind="transfer")
    payment = Payment.objects.get(order=order)
    (row,) = taken(desk, csv_of(f"2026-02-03,{payment.amount:.2f},Mara,,"))
    assert f"It is that one, {order.code}" in desk.get("/accounts/bank/").content.decode()
    assert (
        desk.post(f"/accounts/bank/lines/{row.pk}/booked/", {"payment": str(payment.pk)}).status_code == 303
    )
    assert desk.post(f"/accounts/bank/lines/{row.pk}/booked/", {"payment": "999999"}).status_code == 404
    assert Payment.objects.filter(order=order).count() == 1


def test_payout_is_offered_only_with_a_card_provider(desk) -> None:
    (row,) = taken(desk, csv_of("2026-02-05,11.50,Provider,,payout"))
    assert f"/accounts/bank/lines/{row.pk}/payout/" not in desk.get("/accounts/bank/").content.decode()
    Letterhead.objects.update(card_provider="offline")
    assert f"/accounts/bank/lines/{row.pk}/payout/" in desk.get("/accounts/bank/").content.decode()
    assert desk.post(f"/accounts/bank/lines/{row.pk}/payout/").status_code == 303
    assert BankMatch.objects.get().why.startswith("Payout")


def test_words_of_a_payer_are_text_on_the_page(desk) -> None:
    taken(desk, csv_of("2026-02-05,5.00,<script>alert(1)</script>,,"))
    page = desk.get("/accounts/bank/").content.decode()
    assert "<script>alert" not in page and "&lt;script&gt;" in page
