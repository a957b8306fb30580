"""The owner's pages of money: what stands on them is what the books say, and they are the owner's alone."""

import datetime as dt
import re
from decimal import Decimal as D
from html import unescape

import pytest
from django.test import Client

from intake import wording
from quotes import billing, disputes, payments
from quotes.models import Closing, Invoice, Statement
from shop.accounts import queries

PAGES = [
    "", "invoices/", "invoices/?show=open", "invoices/?show=late&q=x", "journal/", "journal.csv", "journal.xlsx",
    "closing/", "closing/?upto=2026-01-31", "proof/", "proof/?run=1", "trade/", "trade/?q=bram", "statements/",
]  # fmt: skip


def text(answer):
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())))


def said(amount):
    return wording.money(amount, "USD", "en_US")


@pytest.mark.parametrize("address", PAGES)
def test_accounts_are_the_owners_alone(shop, desk, fresh, address):
    technician = Client()
    technician.force_login(shop.technician)
    assert desk.get(f"/accounts/{address}").status_code == 200
    assert technician.get(f"/accounts/{address}").status_code == 403
    assert Client().get(f"/accounts/{address}").status_code == 302


def test_posts_of_a_technician_are_refused_and_change_nothing(shop, old):
    technician = Client()
    technician.force_login(shop.technician)
    trade = f"trade/{old.customer_id}/"
    for address in ("closing/", trade, f"{trade}end/", f"{trade}statement/?month=2026-01"):
        given = {"upto": "2026-01-31", "sure": "on", "tax_number": "ZZ-1"}
        assert technician.post(f"/accounts/{address}", given).status_code == 403
    old.customer.refresh_from_db()
    assert old.customer.trade and not Closing.objects.exists() and not Statement.objects.exists()


def test_overview_says_what_is_owed_by_age_and_what_is_late(desk, old, fresh):
    first, second = old.invoices.get(), fresh.invoices.get()
    shown = text(desk.get("/accounts/"))
    assert f"31 to 60 1 {said(first.total)}" in shown and f"0 to 30 1 {said(second.total)}" in shown
    assert f"Owed to us {said(first.total + second.total)}" in shown
    assert f"past the day it was due: {said(first.total)}" in shown


def test_overview_tells_disputes_deposits_and_the_last_closing(desk, shop, fresh, at):
    paid = payments.record_payment(order=fresh, kind="card", amount=D("40"), key="p", by=shop.owner, at=at)
    disputes.open_dispute(
        payment=paid, amount=D("40"), fee=D("15"), why="Not recognised", answer_by=at.date(), key="d",
        by=shop.owner, at=at,
    )  # fmt: skip
    shown = text(desk.get("/accounts/"))
    assert f"Held in disputes {said(D(40))}" in shown and "Not recognised" in shown
    assert f"Owed to us {said(fresh.invoices.get().total)}" in shown
    assert "nothing is closed yet" in shown


def test_money_to_pay_back_is_told_apart_from_what_is_owed(desk, shop, fresh, at):
    owed = billing.balance(fresh)
    payments.record_payment(order=fresh, kind="cash", amount=owed + 9, key="p", by=shop.owner, at=at)
    shown = text(desk.get("/accounts/"))
    assert f"To be paid back to others: {said(D(9))}" in shown and f"Owed to us {said(D(0))}" in shown


@pytest.mark.parametrize(
    ("show", "found"),
    [
        ("all", {"INV-00001", "INV-00002", "CRN-00001"}),
        ("open", {"INV-00001"}),
        ("late", {"INV-00001"}),
        ("credited", {"INV-00002"}),
        ("notes", {"CRN-00001"}),
        ("nonsense", {"INV-00001", "INV-00002", "CRN-00001"}),
    ],
)
def test_bills_are_filtered(desk, shop, old, fresh, at, show, found):
    billing.credit(invoice=fresh.invoices.get(), why="Wrong customer", by=shop.owner, at=at)
    answer = desk.get("/accounts/invoices/", {"show": show})
    assert {row.number for row, _, _ in answer.context["rows"]} == found


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("inv-00002", {"INV-00002"}),
        ("tolliver", {"INV-00002"}),
        ("MARA", {"INV-00001"}),
        ("%", set()),
        ("\x00", None),
    ],
)
def test_bills_are_found_by_number_and_name(desk, old, fresh, words, found):
    answer = desk.get("/accounts/invoices/", {"q": words})
    expected = set(Invoice.objects.values_list("number", flat=True)) if found is None else found
    assert {row.number for row, _, _ in answer.context["rows"]} == expected


def test_bills_come_page_by_page_and_keep_the_filter(desk, old, fresh, monkeypatch):
    monkeypatch.setattr("shop.accounts.views.A_PAGE", 1)
    pages = [desk.get(f"/accounts/invoices/?show=open&q=INV&page={number}") for number in (1, 2, 9)]
    assert [[row.number for row, _, _ in page.context["rows"]] for page in pages] == [
        ["INV-00002"], ["INV-00001"], ["INV-00001"],
    ]  # fmt: skip
    assert "show=open&amp;q=INV&amp;page=2" in pages[0].content.decode()


def test_paid_bill_is_settled_and_not_open(desk, shop, old, at):
    payments.record_payment(
        order=old, kind="transfer", amount=billing.balance(old), key="p", by=shop.owner, at=at
    )
    assert "settled" in text(desk.get("/accounts/invoices/"))
    assert not desk.get("/accounts/invoices/?show=open").context["rows"]
    assert queries.owed([], on=at.date()).oldest == 0


def test_closing_shows_the_sums_first_and_closes_only_on_the_tick(desk, shop, old, at):
    last = (at - dt.timedelta(days=2)).date().isoformat()
    preview = text(desk.get("/accounts/closing/", {"upto": last}))
    assert said(old.invoices.get().total) in preview and "cannot be undone" in preview
    refused = desk.post("/accounts/closing/", {"upto": last})
    assert refused.status_code == 422 and "Tick that you have looked" in text(refused)
    assert not Closing.objects.exists()
    assert desk.post("/accounts/closing/", {"upto": last, "sure": "on"}).status_code == 303
    assert Closing.objects.get().upto.isoformat() == last
    again = desk.post("/accounts/closing/", {"upto": last, "sure": "on"})
    assert again.status_code == 422 and "are closed up to" in text(again)


@pytest.mark.parametrize(
    ("upto", "sentence"),
    [("2026-02-02", "when it is over"), ("2027-01-01", "when it is over"), ("x", "Type a day")],
)
def test_closing_of_a_wrong_day_is_refused_beside_the_field(desk, old, upto, sentence):
    answer = desk.post("/accounts/closing/", {"upto": upto, "sure": "on"})
    assert (
        answer.status_code == 422
        and sentence in text(answer)
        and f'value="{upto}"' in answer.content.decode()
    )
    assert not Closing.objects.exists()


def test_closing_preview_of_no_day_says_so(desk, old):
    shown = desk.get("/accounts/closing/?upto=31.31.31")
    assert "Type a day such as" in text(shown) and 'value="31.31.31"' in shown.content.decode()


def test_proof_says_that_all_adds_up_and_names_what_does_not(desk, old, monkeypatch):
    assert "Everything adds up" not in text(desk.get("/accounts/proof/"))
    assert "Everything adds up" in text(desk.get("/accounts/proof/?run=1"))
    monkeypatch.setattr("quotes.proof.prove", lambda: ["Entry 7 has no postings."])
    shown = text(desk.get("/accounts/proof/?run=1"))
    assert "1 thing does not add up" in shown and "Entry 7 has no postings." in shown


def test_gets_change_nothing_and_posts_without_a_form_neither(desk, old, fresh):
    before = Closing.objects.count(), Invoice.objects.count()
    for address in PAGES:
        desk.get(f"/accounts/{address}")
        assert desk.post(f"/accounts/{address}").status_code in (405, 422)
    assert (Closing.objects.count(), Invoice.objects.count()) == before


@pytest.mark.parametrize("upto", ["2026-02-02", "2027-01-01"])
def test_closing_offers_no_press_for_a_day_that_is_not_over(desk, old, upto):
    shown = desk.get("/accounts/closing/", {"upto": upto}).content.decode()
    assert "when it is over" in shown and "Close for good" not in shown
