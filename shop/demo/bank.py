"""What the demonstration's bank reports: one statement that was taken in, and two files that wait to be. All invented.

The files name bills that are open when the world is made, so they are drawn then.
"""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from django.conf import settings

from intake import codes
from intake.models import Order
from quotes import ledger
from quotes.bank import confirming, importing
from quotes.bank.matching import OpenBill, Share
from quotes.bank.open_bills import open_bills
from quotes.models import BankLine
from shop.demo import bank_files
from shop.demo.bank_files import Booked
from shop.demo.stage import World

FILES = {"camt053.xml": "application/xml", "statement.csv": "text/csv"}


def folder() -> Path:
    """Where the files to take in lie, beside the data of the demonstration."""
    return Path(settings.DATA) / "bank"


def there() -> list[str]:
    """The names of the files that can be saved."""
    return [name for name in FILES if (folder() / name).is_file()]


def taken_in(world: World, named: dict[str, Order]) -> None:
    """A statement of days ago: a deposit and the rent are settled, a payment waits for the owner's word."""
    at, jory = world.ago(6.4), named["jory"]
    day, deposit = at.date() - dt.timedelta(days=1), jory.quotes.get().deposit
    ivo = _bill_of(named["ivo"])
    rows = [
        Booked(day, deposit, "Jory Penhale", codes.payment_reference(jory.code), "Deposit for the cable"),
        Booked(day, Decimal("-900.00"), "Anytown Rents", "", "Rent of the unit"),
        Booked(day, ivo.owed / 2, "I SANDLAKE", "", f"first half of {ivo.numbers[0]}"),
    ]
    data = bank_files.as_csv(rows)
    importing.take_in(data=data, file_name="last-week.csv", layout=None, by=world.owner, at=at)
    lines = {line.name: line for line in BankLine.objects.all()}
    share = Share(jory.code, deposit, "deposit")
    confirming.confirm(
        line=lines["Jory Penhale"],
        shares=[share],
        why="The payment reference is its own.",
        by=world.owner,
        at=at,
    )
    confirming.not_ours(line=lines["Anytown Rents"], why="Rent of the unit.", by=world.owner, at=at)


def _bill_of(order: Order) -> OpenBill:
    return next(bill for bill in open_bills(order.currency) if bill.order == order.code)


@dataclass(frozen=True)
class _Open:
    """What a statement can pay: bills by the payer's name, the oldest first, and deposits."""

    bills: list[OpenBill]
    deposits: list[OpenBill]

    def of(self, name: str) -> list[OpenBill]:
        return [bill for bill in self.bills if name in bill.names]

    def others(self, *names: str) -> list[OpenBill]:
        return [bill for bill in self.bills if not set(names) & set(bill.names)]


def draw(*, at: dt.datetime) -> dict[str, bytes]:
    """The two files by name: movements of the last two days before `at`, other ones in each."""
    found = [bill for bill in open_bills("USD") if bill.owed > 0]
    left = _Open(
        [bill for bill in found if bill.purpose == "bill"],
        [bill for bill in found if bill.purpose == "deposit"],
    )
    before, last = at.date() - dt.timedelta(days=2), at.date() - dt.timedelta(days=1)
    return {
        "camt053.xml": bank_files.as_camt(_of_the_first(left, before), opening=Decimal("2140.55")),
        "statement.csv": bank_files.as_csv(_of_the_second(left, last)),
    }


def write(*, at: dt.datetime) -> Path:
    """Put the files where the owner finds them; gives the folder."""
    here = folder()
    here.mkdir(parents=True, exist_ok=True)
    for name, data in draw(at=at).items():
        (here / name).write_bytes(data)
    return here


def _of_the_first(left: _Open, day: dt.date) -> list[Booked]:
    """By reference, a whole batch at once, a deposit, a part by number; the card company's payout, and the solder."""
    rows = []
    for bill in left.others("Stallmere Phones", "Harbour Lane Repairs", "Ivo Sandlake", "Garrick Vole")[:1]:
        rows.append(Booked(day, bill.owed, bill.names[0], bill.references[0], "With thanks"))
    if batch := left.of("Stallmere Phones"):
        total = sum((bill.owed for bill in batch), Decimal(0))
        rows.append(Booked(day, total, "STALLMERE PHONES", "", "boards, the whole batch"))
    for bill in left.deposits[:1]:
        rows.append(Booked(day, bill.owed, bill.names[0], bill.references[0], "Deposit"))
    for bill in left.of("Harbour Lane Repairs")[:1]:
        rows.append(Booked(day, Decimal("50.00"), "Harbour Lane", "", f"{bill.numbers[0]} on account"))
    under_way = ledger.balances().get(("card", ""), Decimal(0))
    if under_way > 0:
        rows.append(Booked(day, under_way, "Card company", "", "Payout"))
    return [*rows, Booked(day, Decimal("-28.02"), "Solder and Sons", "", "Flux")]


def _of_the_second(left: _Open, day: dt.date) -> list[Booked]:
    """A name and a sum alone, a sum that is short by a bank's charge, a stranger, and the bank's own charge."""
    rows = []
    for bill in left.of("Harbour Lane Repairs")[1:2]:
        rows.append(Booked(day, bill.owed, "Harbour Lane Repairs", "", "Repair"))
    for bill in left.of("Harbour Lane Repairs")[2:3]:
        rows.append(Booked(day, bill.owed - 1, "Joint account", "", f"{bill.numbers[0]} less bank charge"))
    stranger = Booked(day, Decimal("65.00"), "K Harrow", "", "as agreed on the phone")
    return [*rows, stranger, Booked(day, Decimal("-3.50"), "Anytown Savings", "", "Account charge")]
