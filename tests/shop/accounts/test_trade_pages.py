"""Customers of the trade: terms with a preview of what they owe, statements seen before they are sent."""

from decimal import Decimal as D

import pytest

from intake.models import Customer, Letter, Paper
from quotes.models import Rates, Statement, TradeAccount, TradeTier
from quotes.trade_terms import terms_of
from shop.returns import out
from tests.shop.accounts.test_pages import said, text


@pytest.fixture
def trade(old):
    return f"/accounts/trade/{old.customer_id}/"


def terms(**changes):
    given = {"tier": "", "tax_number": "", "certificate": "", "certificate_until": "", "payment_days": ""}
    return given | changes


def test_list_says_what_is_owed_how_late_and_how_old(desk, old):
    total = old.invoices.get().total
    shown = text(desk.get("/accounts/trade/"))
    assert (
        f"Mara Ellwick mara.ellwick@example.com usual prices, on account {said(total)} {said(total)} 40 days"
        in shown
    )


def test_search_finds_a_consumer_and_saving_makes_it_one_of_the_trade(desk, fresh):
    tier = TradeTier.objects.create(name="Shops", labour_factor=D("0.8"))
    page = desk.get("/accounts/trade/?q=TOLLIVER").content.decode()
    assert f"/accounts/trade/{fresh.customer_id}/" in page
    address = f"/accounts/trade/{fresh.customer_id}/"
    assert "Make it a trade customer" in text(desk.get(address))
    given = terms(
        tier=tier.pk, tax_number="ZZ-77", certificate="R-1", certificate_until="2026-12-31", payment_days="30"
    )
    assert desk.post(address, given | {"on_account": "on"}).status_code == 303
    found = terms_of(Customer.objects.get(pk=fresh.customer_id), on=fresh.created_at.date())
    assert (found.tier, found.kind, found.tax_number, found.on_account, found.payment_days) == (
        tier, "certificate", "ZZ-77", True, 30,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("payment_days", "soon", "Type a whole number of days."),
        ("payment_days", "-1", "greater than or equal to 0"),
        ("certificate_until", "some day", "Type a day such as"),
        ("certificate_until", "2026-12-31", "Say which certificate it is the last day of."),
        ("tier", "999", "There is no such tier any more."),
    ],
)
def test_wrong_terms_are_said_beside_the_field_and_kept(desk, trade, field, typed, sentence):
    answer = desk.post(trade, terms(tax_number="ZZ-9", **{field: typed}))
    page = answer.content.decode()
    assert answer.status_code == 422 and sentence in page and 'value="ZZ-9"' in page
    if field != "tier":
        assert f'value="{typed}"' in page
    assert TradeAccount.objects.get().tax_number == ""


def test_customer_who_pays_first_is_held_at_the_door(desk, old, trade):
    assert out.gate(old) == ""
    desk.post(trade, terms())
    old.refresh_from_db()
    assert "is still owed" in out.gate(old)


def test_certificate_that_ran_out_is_said(desk, old, trade):
    desk.post(trade, terms(certificate="R-1", certificate_until="2026-01-01", on_account="on"))
    assert "ran out" in text(desk.get("/accounts/trade/"))


def test_trade_ends_by_post_and_old_statements_stay(desk, old, trade):
    desk.post(f"{trade}statement/?month=2025-12", {})
    assert desk.get(f"{trade}end/").status_code == 405
    assert desk.post(f"{trade}end/").status_code == 303
    assert not Customer.objects.get(pk=old.customer_id).trade
    assert "STM-00001" in text(desk.get("/accounts/statements/"))
    assert desk.get(f"{trade}statement/?month=2025-12").status_code == 200
    assert desk.get(f"{trade}statement/?month=2026-01").status_code == 404
    assert "not one of the trade" in text(desk.post(f"{trade}end/", follow=True))


def test_statement_is_seen_before_it_is_sent_and_then_never_changes(desk, old, trade):
    total = old.invoices.get().total
    page = text(desk.get(trade))
    assert "December 2025" in page and "January 2026" in page
    preview = text(desk.get(f"{trade}statement/?month=2026-01"))
    assert "not written yet" in preview and f"Owed at the beginning {said(total)}" in preview
    assert not Statement.objects.exists() and not Letter.objects.filter(kind="statement").exists()
    for _ in range(2):
        assert desk.post(f"{trade}statement/?month=2026-01", {}).status_code == 303
    made = Statement.objects.get()
    assert (made.number, made.total) == ("STM-00001", total)
    shown = desk.get(f"{trade}statement/?month=2026-01").content.decode()
    assert f"/paper/{Paper.objects.get(maker='statement').pk}/" in shown and "it never changes" in shown
    assert desk.get(f"/paper/{Paper.objects.get(maker='statement').pk}/").status_code == 200


@pytest.mark.parametrize("month", ["", "2026", "2026-13", "1900-01", "x"])
def test_statement_of_no_month_is_not_found(desk, trade, month):
    assert desk.get(f"{trade}statement/", {"month": month}).status_code == 404


def test_statement_of_the_running_month_says_why_not(desk, trade):
    page = desk.get(f"{trade}statement/?month=2026-02")
    assert "The month is not over." in text(page) and "Write it" not in text(page)
    refused = desk.post(f"{trade}statement/?month=2026-02", {})
    assert refused.status_code == 422 and not Statement.objects.exists()


@pytest.mark.parametrize("tick", [{}, {"say_interest": "on"}])
def test_interest_is_a_proposal_until_it_is_ticked(desk, old, trade, tick):
    rates = Rates.current()
    rates.pk, rates.version, rates.interest_percent = None, rates.version + 1, D("8.5")
    rates.save(force_insert=True)
    assert "8.5 % a year" in text(desk.get(f"{trade}statement/?month=2026-01"))
    desk.post(f"{trade}statement/?month=2026-01", tick)
    assert bool(Statement.objects.get().shown["interest"]) == bool(tick)
    assert ("It says interest" in text(desk.get(f"{trade}statement/?month=2026-01"))) == bool(tick)
