"""Further money on the sheet: credit in part, write off, disputes, deposits, and what comes on top of the quote."""

import re
from decimal import Decimal as D
from html import unescape

import pytest
from django.test import Client

from intake.models import Letter, Order
from intake.stations import Station
from quotes import billing, draft_lines, drafts, offers, owed, proof
from quotes.models import BillAddition, Dispute, Invoice, Part, Payment, Rates, WriteOff
from shop.demo import steps
from tests import walk


@pytest.fixture
def order(bench, at):
    return walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)


@pytest.fixture
def desk(bench):
    client = Client()
    client.force_login(bench.owner)
    return client


def post(client, order, act, **fields):
    return client.post(f"/sheet/{order.code}/money/{act}/", fields)


def page(client, order):
    return text(client.get(f"/sheet/{order.code}/"))


def text(answer):
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())))


def test_part_of_a_bill_is_credited_by_quantities_and_the_rest_later(desk, order):
    invoice = order.invoices.get()
    lines = list(invoice.lines.all())
    given = {
        "invoice": invoice.pk,
        "why": "No post",
        "what": "some",
        f"line_{lines[-1].number}": "1",
        "key": "c1",
    }
    for _ in range(2):
        assert post(desk, order, "credit", **given).status_code == 303
    note = order.invoices.get(kind="credit")
    assert note.net == -lines[-1].net and billing.balance(order) == invoice.total + note.total
    assert "Bill it again" not in page(desk, order)
    assert (
        post(desk, order, "credit", invoice=invoice.pk, why="All of it", what="all", key="c2").status_code
        == 303
    )
    assert billing.balance(order) == 0 and "Bill it again" in page(desk, order)
    assert proof.prove() == []


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"what": "some"}, "Type how many of a line are credited."),
        ({"what": "all", "line_1": "1"}, "Quantities are typed below."),
        ({"what": "some", "line_1": "9"}, "can still be credited"),
        ({"what": "some", "line_1": "many"}, "That is not a number of pieces."),
        ({"what": "some", "line_1": "0"}, "Write more than nought"),
    ],
)
def test_wrong_part_is_said_beside_the_field_and_kept(desk, order, more, sentence):
    answer = post(desk, order, "credit", invoice=order.invoices.get().pk, why="So it is", **more)
    body = answer.content.decode()
    assert answer.status_code == 422 and sentence in text(answer) and 'value="So it is"' in body
    if "line_1" in more:
        assert f'value="{more["line_1"]}"' in body
    assert not order.invoices.filter(kind="credit").exists()


def test_fresh_bill_comes_in_place_of_one_that_was_credited_whole(desk, staff, order):
    first = order.invoices.get()
    refused = post(desk, order, "again")
    assert refused.status_code == 422 and "still stands" in text(refused)
    post(desk, order, "credit", invoice=first.pk, why="Wrong address")
    assert post(staff, order, "again").status_code == 403
    assert post(desk, order, "again").status_code == 303
    assert billing.balance(order) == first.total
    assert Invoice.objects.filter(order=order, kind="invoice").count() == 2


def test_write_off_is_the_owners_and_never_above_what_is_owed(desk, staff, order):
    owes = billing.balance(order)
    assert "Write off what is owed" not in page(staff, order)
    assert post(staff, order, "write-off", amount="1", why="x", key="w").status_code == 403
    for amount, why, sentence in [
        (str(owes + 1), "Gone away", "can be written off"),
        ("5", " ", "Say why it is written off."),
        ("", "Gone away", "Type an amount"),
    ]:
        answer = post(desk, order, "write-off", amount=amount, why=why, key="w")
        assert answer.status_code == 422 and sentence in text(answer)
        assert f'value="{amount}"' in answer.content.decode() or not amount
    for _ in range(2):
        assert post(desk, order, "write-off", amount=str(owes), why="Gone away", key="w").status_code == 303
    assert WriteOff.objects.count() == 1 and billing.balance(order) == 0
    assert "Gone away" in page(staff, order)


def test_what_is_made_good_is_the_owners_and_beside_the_bill(desk, staff, order):
    owes = billing.balance(order)
    assert "Make something good" in page(desk, order) and "Make something good" not in page(staff, order)
    given = {"kind": "transfer", "amount": "50", "why": "We cracked the glass", "key": "m"}
    assert post(staff, order, "make-good", **given).status_code == 403
    for wrong, sentence in [
        ({"amount": "0"}, "more than nought"),
        ({"amount": "1000001"}, "over 1,000,000"),
        ({"amount": "soon"}, "not an amount"),
        ({"why": " "}, "the customer reads it"),
        ({"kind": ""}, "Say how it was paid."),
    ]:
        answer = post(desk, order, "make-good", **{**given, **wrong})
        assert answer.status_code == 422 and sentence in text(answer), wrong
        kept = {**given, **wrong}
        for name in ("amount", "why"):
            assert not kept[name].strip() or f'value="{kept[name]}"' in answer.content.decode()
    assert not Payment.objects.exists()
    for _ in range(2):
        assert post(desk, order, "make-good", **given).status_code == 303
    assert Payment.objects.get().amount == -50 and billing.balance(order) == owes
    assert "Made good by us, Bank transfer: We cracked the glass" in page(staff, order)
    letter = Letter.objects.get(kind="made_good")
    assert letter.subject == f"{order.code}: we paid you $50.00 to make good"
    assert "We pay it to make good this: We cracked the glass" in letter.text
    assert f"Still to pay on this order: ${owes:.2f}." in letter.text and "A bank may need" in letter.text
    assert proof.prove() == []


def test_what_is_made_good_can_be_no_purpose_of_a_payment_typed_by_hand(desk, with_deposit):
    answer = post(desk, with_deposit, "pay", kind="card", purpose="loss", amount="30", key="d")
    assert answer.status_code == 422 and not Payment.objects.exists()


@pytest.mark.parametrize(("won", "owes"), [("yes", D(0)), ("no", None)])
def test_dispute_is_held_apart_until_it_is_won_or_lost(desk, staff, order, won, owes):
    total = billing.balance(order)
    post(staff, order, "pay", kind="card", amount=str(total), key="p")
    payment = Payment.objects.get()
    assert "The bank took back" not in page(staff, order) and "The bank took back" in page(desk, order)
    given = {
        "payment": payment.pk, "amount": str(total), "fee": "15", "why": "Not recognised", "answer_by": "2026-02-16",
        "key": "d1",
    }  # fmt: skip
    assert post(staff, order, "dispute", **given).status_code == 403
    for _ in range(2):
        assert post(desk, order, "dispute", **given).status_code == 303
    dispute = Dispute.objects.get()
    assert owed.in_dispute(order) == billing.balance(order) == total
    shown = page(desk, order)
    assert "Not recognised" in shown and "Answer by Mon 16 February 2026" in shown
    assert post(staff, order, "dispute/end", dispute=dispute.pk, won=won).status_code == 403
    assert post(desk, order, "dispute/end", dispute=dispute.pk, won="maybe").status_code == 422
    for _ in range(2):
        assert post(desk, order, "dispute/end", dispute=dispute.pk, won=won).status_code == 303
    assert billing.balance(order) == (total if owes is None else owes) and owed.in_dispute(order) == 0
    other = post(desk, order, "dispute/end", dispute=dispute.pk, won="no" if won == "yes" else "yes")
    assert other.status_code == 422 and "has ended already" in text(other)
    assert proof.prove() == []


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"amount": "9999"}, "of this payment can be disputed"),
        ({"why": ""}, "the payer's bank gives as the reason"),
        ({"answer_by": "soon"}, "Type a day such as 2026-03-01."),
        ({"fee": "x"}, "That is not an amount."),
    ],
)
def test_wrong_dispute_is_said_and_kept(desk, order, changes, sentence):
    post(desk, order, "pay", kind="card", amount="20", key="p")
    given = {"payment": Payment.objects.get().pk, "amount": "20", "why": "Their reason", "key": "d"} | changes
    answer = post(desk, order, "dispute", **given)
    assert answer.status_code == 422 and sentence in text(answer)
    for typed in changes.values():
        assert not typed or f'value="{typed}"' in answer.content.decode()
    assert not Dispute.objects.exists()


def test_rows_of_another_order_are_not_found(desk, order, bench, at):
    other = walk.to(walk.request(at=at), Station.GOODS_OUT, by=bench.technician, at=at)
    post(desk, other, "pay", kind="card", amount="20", key="p")
    payment = Payment.objects.get()
    assert post(desk, order, "dispute", payment=payment.pk, amount="1", why="x", key="d").status_code == 404
    assert post(desk, order, "dispute", payment="x" * 30).status_code == 404
    assert post(desk, order, "dispute/end", dispute="1", won="yes").status_code == 404
    assert post(desk, order, "credit", invoice="x", why="x").status_code == 404


@pytest.fixture
def with_deposit(bench, at):
    """Agreed, with a deposit of 30 asked for a special part."""
    order = walk.to(walk.request(at=at), Station.QUOTE, by=bench.technician, at=at)
    Part.objects.filter(number="WIRE-002").update(special=True)
    draft = drafts.draft_of(order, at=at)
    draft = drafts.save_draft(
        draft=draft,
        lines=steps.lines_of(["Fit jumper wire"], ["WIRE-002"]),
        words="",
        promise=draft.promise,
        at=at,
    )
    draft_lines.ask_deposit(order=order, seen=draft.version, amount=D(30), words="", at=at)
    order.refresh_from_db()
    draft.refresh_from_db()
    offers.send(order=order, seen_version=order.version, seen_draft=draft.version, by=bench.technician, at=at)
    order.refresh_from_db()
    walk.answer(order, at=at)
    return Order.objects.get(pk=order.pk)


def test_deposit_is_booked_while_the_bench_waits_and_can_go_back(staff, with_deposit):
    order = with_deposit
    shown = page(staff, order)
    assert "Deposit still to come: $30.00." in shown and "What it is for" in shown
    refused = post(staff, order, "pay", kind="card", purpose="", amount="30", key="d")
    assert refused.status_code == 422 and "for the bill or a deposit" in text(refused)
    for _ in range(2):
        assert (
            post(staff, order, "pay", kind="card", purpose="deposit", amount="30", key="d").status_code == 303
        )
    assert owed.deposit_held(order) == 30 and billing.balance(order) == 0
    assert "Deposit held: $30.00." in page(staff, order)
    refused = post(
        staff, order, "refund", kind="card", purpose="deposit", amount="31", key="r", note="Called off"
    )
    assert refused.status_code == 422 and "No more of the deposit is held." in text(refused)
    post(staff, order, "refund", kind="card", purpose="deposit", amount="30", key="r", note="Called off")
    assert owed.deposit_held(order) == 0


def test_deposit_stands_on_the_bill_as_set_off(staff, with_deposit, bench, at):
    order = with_deposit
    post(staff, order, "pay", kind="transfer", purpose="deposit", amount="30", key="d")
    order.refresh_from_db()
    walk.to(order, Station.GOODS_OUT, by=bench.technician, at=at)
    shown = page(staff, order)
    assert "Deposit set off: $30.00" in shown and billing.balance(order) == order.invoices.get().total - 30


def allow(rule, **more):
    rates = Rates.current()
    rates.pk, rates.version, rates.overrun_rule = None, rates.version + 1, rule
    for name, value in more.items():
        setattr(rates, name, value)
    rates.save(force_insert=True)


def test_nothing_comes_on_top_where_the_shop_allows_none(staff, bench, at):
    order = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    assert "Put something on top" not in page(staff, order)
    refused = post(staff, order, "on-top", kind="labour", text="More", quantity="1", unit_price="1", key="t")
    assert refused.status_code == 422 and not BillAddition.objects.exists()


def test_line_comes_on_top_up_to_the_ceiling_and_not_a_cent_more(staff, bench, at):
    allow("share", overrun_percent=D(10))
    order = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    agreed = order.quotes.get().total
    shown = page(staff, order)
    assert "Put something on top of the quote" in shown and f"Agreed: ${agreed:.2f}." in shown
    room = (agreed / 10).quantize(D("0.01"))
    for typed, sentence in [
        (str(room + 1), "without a new yes"),
        ("", "Type an amount"),
        ("0", "more than nought"),
    ]:
        answer = post(
            staff,
            order,
            "on-top",
            kind="labour",
            text="A second pad",
            quantity="1",
            unit_price=typed,
            key="t",
        )
        assert answer.status_code == 422 and sentence in text(answer)
        assert 'value="A second pad"' in answer.content.decode()
    for _ in range(2):
        done = post(
            staff, order, "on-top", kind="labour", text="A second pad", quantity="1", unit_price="5", key="t"
        )
        assert done.status_code == 303
    assert BillAddition.objects.count() == 1 and "A second pad" in page(staff, order)
    walk.to(order, Station.GOODS_OUT, by=bench.technician, at=at)
    assert order.invoices.get().total == agreed + 5
