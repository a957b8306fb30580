"""A statement taken in: each movement once, whatever file it comes in again; a person says once what it is."""

from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from intake.models import Letterhead, Order, Person
from quotes import billing, payments
from quotes.bank import confirming, importing
from quotes.bank.matching import Share, propose
from quotes.bank.movements import Unreadable
from quotes.bank.open_bills import booked_by_hand, line_of, open_bills
from quotes.ledger import balances
from quotes.models import BankLine, BankMatch, BankStatement, Closing, Entry, Invoice, Payment, Rates
from quotes.proof import prove
from quotes.refusals import Refused
from tests.bench_orders import at_diagnosis

FOLDER = Path(__file__).resolve().parents[3] / "fixtures" / "bank"
OLD = (FOLDER / "version_02.xml").read_bytes()
pytestmark = pytest.mark.usefixtures("rates")


@pytest.fixture
def order(technician: Person, at) -> Order:
    """12.00 are owed for the return post."""
    order = at_diagnosis(by=technician, at=at)
    billing.bill_return(order=order, rates=Rates.current(), by=technician, at=at, why="not mendable")
    return order


@pytest.fixture
def later(at):
    """A week on, when the statement of the days between comes in."""
    return at + timedelta(days=7)


def csv_of(*rows: str) -> bytes:
    return ("Date,Amount,Payer,Reference,Text\n" + "\n".join(rows) + "\n").encode()


def take(data: bytes, by: Person, at, name: str = "february.csv") -> list[BankStatement]:
    return importing.take_in(data=data, file_name=name, layout=None, by=by, at=at)


def line(by: Person, at, row: str) -> BankLine:
    return take(csv_of(row), by, at)[0].lines.get()


def test_look_changes_nothing_and_take_in_writes_what_it_said(owner, later) -> None:
    seen = importing.look(data=OLD)
    assert (len(seen.new), seen.known) == (4, 0)
    assert not BankStatement.objects.exists()
    (statement,) = take(OLD, owner, later, "old.xml")
    assert statement.lines.count() == 4
    assert (statement.opening, statement.closing, statement.form) == (
        Decimal(1000),
        Decimal("1214.30"),
        "camt.053",
    )


def test_same_file_twice_is_told_and_overlapping_files_bring_each_movement_once(owner, later) -> None:
    take(OLD, owner, later)
    with pytest.raises(Refused, match="Nothing is new in it"):
        take(OLD, owner, later)
    longer = OLD.replace(b"<MsgId>QMB-02-0001", b"<MsgId>QMB-02-0002")
    assert importing.look(data=longer).known == 4
    take(longer, owner, later)
    assert (BankStatement.objects.count(), BankLine.objects.count()) == (2, 4)


def test_two_statements_of_one_file_that_overlap_bring_each_movement_once(owner, later) -> None:
    start, end = OLD.index(b"<Stmt>"), OLD.index(b"</Stmt>") + 7
    double = OLD[:end] + OLD[start:end] + OLD[end:]
    assert len(importing.look(data=double).new) == 4
    assert len(take(double, owner, later)) == 2
    assert BankLine.objects.count() == 4


def test_three_equal_movements_in_a_longer_file_add_only_the_third(owner, later) -> None:
    take(csv_of(*["2026-02-05,5.00,A,,coffee"] * 2), owner, later)
    take(csv_of(*["2026-02-05,5.00,A,,coffee"] * 3), owner, later)
    assert BankLine.objects.count() == 3


def test_fault_in_the_last_row_leaves_nothing(owner, later) -> None:
    with pytest.raises(Unreadable):
        take(csv_of("2026-02-05,5.00,A,,", "2026-02-31,5.00,A,,"), owner, later)
    assert not BankStatement.objects.exists()


def test_wrong_currency_and_empty_file_are_refused_and_another_account_warns(
    owner, later, letterhead
) -> None:
    with pytest.raises(Unreadable, match="The statement is in EUR"):
        importing.look(data=OLD.replace(b"USD", b"EUR"))
    with pytest.raises(Unreadable, match="empty"):
        importing.look(data=b" \n")
    Letterhead.objects.filter(pk=letterhead.pk).update(bank_account="ZZ11 QMBK 0000 0000 0999")
    assert any("Is it the right file" in warning for warning in importing.look(data=OLD).warnings)
    Letterhead.objects.filter(pk=letterhead.pk).update(bank_account="ZZ68 QMBK 0000 0000 0004 17")
    assert not any("right file" in warning for warning in importing.look(data=OLD).warnings)


def test_other_kind_of_file_with_the_same_movements_warns(owner, later) -> None:
    take(OLD, owner, later)
    seen = importing.look(data=csv_of("2026-02-05,112.32,Mara,,"))
    assert any("may stand here twice" in warning for warning in seen.warnings)


def test_reference_on_the_bill_leads_to_its_order_and_one_press_books_it_on_the_banks_day(
    order, owner, later
) -> None:
    invoice = Invoice.objects.get(order=order)
    row = line(owner, later, f"2026-02-05,12.00,Mara Ellwick,{invoice.reference},")
    (best, *_) = propose(line_of(row), open_bills("USD"))
    assert best.shares == (Share(order.code, Decimal("12.00")),)
    match = confirming.confirm(line=row, shares=best.shares, why=best.why, by=owner, at=later)
    payment = Payment.objects.get()
    assert (match.payment, payment.kind, payment.purpose) == (payment, "transfer", "bill")
    assert payment.at.date() == date(2026, 2, 5)
    assert billing.balance(order) == 0
    assert balances()[("bank", "")] == Decimal("12.00")


def test_second_person_is_told_and_nothing_is_booked_twice(order, owner, technician, later) -> None:
    row = line(owner, later, "2026-02-05,12.00,Mara,,")
    shares = [Share(order.code, Decimal(12))]
    confirming.confirm(line=row, shares=shares, why="It fits.", by=owner, at=later)
    with pytest.raises(confirming.AlreadyMatched, match="Nothing has changed"):
        confirming.confirm(line=row, shares=shares, why="It fits.", by=technician, at=later)
    with pytest.raises(confirming.AlreadyMatched):
        confirming.not_ours(line=row, why="Rent", by=technician, at=later)
    assert (Payment.objects.count(), BankMatch.objects.count()) == (1, 1)


def test_one_movement_pays_two_orders_and_both_are_found_again(order, owner, technician, at, later) -> None:
    other = at_diagnosis(by=technician, at=at, key="b")
    billing.bill_return(order=other, rates=Rates.current(), by=technician, at=at, why="not mendable")
    row = line(owner, later, "2026-02-05,24.00,Mara Ellwick,,")
    match = confirming.confirm(
        line=row,
        shares=[Share(order.code, Decimal(12)), Share(other.code, Decimal(12))],
        why="Both.",
        by=owner,
        at=later,
    )
    assert [payment.order for payment in confirming.payments_of(match)] == [order, other]
    assert billing.balance(order) == billing.balance(other) == 0


@pytest.mark.parametrize(
    ("shares", "sentence"),
    [
        ([], "Say which order"),
        ([("here", "11.99")], "0.01 are left"),
        ([("here", "12.01")], "0.01 too much"),
        ([("here", "13.00"), ("here", "-1.00")], "more than nought"),
        ([("CCCC-CCCC", "12.00")], "There is no order CCCC-CCCC"),
    ],
)
def test_shares_that_are_not_the_whole_movement_are_refused(order, owner, later, shares, sentence) -> None:
    row = line(owner, later, "2026-02-05,12.00,Mara,,")
    laid = [Share(order.code if code == "here" else code, Decimal(sum_)) for code, sum_ in shares]
    with pytest.raises(Refused, match=sentence):
        confirming.confirm(line=row, shares=laid, why="", by=owner, at=later)
    assert not Payment.objects.exists() and not BankMatch.objects.exists()


def test_refused_second_share_takes_the_first_back(order, owner, later) -> None:
    row = line(owner, later, "2026-02-05,12.00,Mara,,")
    shares = [Share(order.code, Decimal(6)), Share("CCCC-CCCC", Decimal(6))]
    with pytest.raises(Refused):
        confirming.confirm(line=row, shares=shares, why="", by=owner, at=later)
    assert not Payment.objects.exists()


def test_closed_day_is_booked_today_with_a_note(order, owner, later) -> None:
    Closing.objects.create(upto=date(2026, 2, 5), last_entry=1, sums={}, digest="0" * 64, at=later, by=owner)
    row = line(owner, later, "2026-02-05,12.00,Mara,,")
    confirming.confirm(line=row, shares=[Share(order.code, Decimal(12))], why="", by=owner, at=later)
    payment = Payment.objects.get()
    assert payment.at == later
    assert "a day that is closed" in payment.note


def test_payment_booked_by_hand_is_tied_and_not_booked_again(order, owner, technician, at, later) -> None:
    payment = payments.record_payment(
        order=order, kind="transfer", amount=Decimal(12), key="hand", by=technician, at=at
    )
    row = line(owner, later, "2026-02-03,12.00,Mara,,")
    (known,) = booked_by_hand(row)
    assert known.payment == payment
    confirming.match_booked(line=row, payment=payment, by=owner, at=later)
    assert Payment.objects.count() == 1
    again = take(csv_of("2026-02-04,12.00,Mara,,"), owner, later)[0].lines.get()
    assert booked_by_hand(again) == []
    with pytest.raises(Refused, match="a line of the bank already"):
        confirming.match_booked(line=again, payment=payment, by=owner, at=later)


def test_debit_line_is_tied_to_a_refund_and_pays_no_bill(order, owner, technician, at, later) -> None:
    payments.record_payment(order=order, kind="transfer", amount=Decimal(15), key="p", by=technician, at=at)
    back = payments.refund(
        order=order, kind="transfer", amount=Decimal(3), key="r", by=technician, at=at, note="Too much"
    )
    row = line(owner, later, "2026-02-05,-3.00,Mara Ellwick,,back")
    with pytest.raises(Refused, match="Only money that came in"):
        confirming.confirm(line=row, shares=[Share(order.code, Decimal(3))], why="", by=owner, at=later)
    (known,) = booked_by_hand(row)
    assert confirming.match_booked(line=row, payment=known.payment, by=owner, at=later).payment == back


def test_not_ours_needs_a_reason_and_books_nothing(owner, later) -> None:
    row = line(owner, later, "2026-02-05,-900.00,Anytown Rents,,")
    with pytest.raises(Refused, match="what it is"):
        confirming.not_ours(line=row, why=" ", by=owner, at=later)
    assert confirming.not_ours(line=row, why="Rent", by=owner, at=later).payment is None
    assert not Entry.objects.exists()


def test_payout_of_the_card_provider_moves_money_from_cards_to_the_bank(
    order, owner, technician, at, later
) -> None:
    payments.record_payment(
        order=order, kind="card", amount=Decimal(12), fee=Decimal("0.50"), key="c", by=technician, at=at
    )
    row = line(owner, later, "2026-02-05,11.50,Provider,,payout")
    confirming.card_payout(line=row, by=owner, at=later)
    assert balances().get(("card", ""), Decimal(0)) == 0
    assert balances()[("bank", "")] == Decimal("11.50")
    assert prove() == []


def test_amount_that_no_row_holds_is_said_and_leaves_nothing(owner, later) -> None:
    with pytest.raises(Unreadable, match="more than eleven digits"):
        take(csv_of("2026-02-05,100000000000.00,Card house,,Payout"), owner, later)
    assert not BankStatement.objects.exists()
    row = line(owner, later, "2026-02-05,1000000000.00,Card house,,Payout")
    with pytest.raises(Refused, match="more than these books can hold"):
        confirming.card_payout(line=row, by=owner, at=later)
    confirming.not_ours(line=row, why="A test of the bank", by=owner, at=later)


@pytest.mark.parametrize("way", ["reference", "number", "code"])
def test_bill_that_is_paid_is_still_found_by_what_the_payer_wrote(
    order, owner, technician, at, later, way
) -> None:
    payments.record_payment(order=order, kind="cash", amount=Decimal(12), key="c", by=technician, at=at)
    invoice = Invoice.objects.get(order=order)
    words = {"reference": invoice.reference.lower(), "number": f"bill {invoice.number}", "code": order.code}[
        way
    ]
    row = line(owner, later, f"2026-02-05,12.00,Mara,,{words}")
    assert open_bills("USD") == []
    (best, *_) = propose(line_of(row), open_bills("USD", [line_of(row)]))
    assert best.order == order.code
    assert "Nothing is owed there" in best.why
