"""What the demonstration's bank reports: a few movements that wait for the owner to say what they are."""

import csv
import datetime as dt
import io

from quotes.bank import importing
from quotes.bank.matching import OpenBill
from quotes.bank.open_bills import open_bills
from shop.demo.stage import World


def statement(world: World, *, at: dt.datetime) -> None:
    """A file of the day before, taken in: one payer gave the reference, one only a name, one paid a part; and the rent."""
    bills = [bill for bill in open_bills("USD") if bill.owed > 1 and bill.numbers]
    day = (at - dt.timedelta(days=1)).date().isoformat()
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["Booking date", "Amount", "Payer", "Reference", "Details", "Account"])
    account = "0000 1234 5678"
    for row in [*_payers(bills), ("-900.00", "Anytown Rents", "", "Rent of the unit")]:
        writer.writerow([day, *row, account])
    importing.take_in(
        data=out.getvalue().encode(), file_name="anytown-savings.csv", layout=None, by=world.owner, at=at
    )


def _payers(bills: list[OpenBill]) -> list[tuple[str, str, str, str]]:
    """Up to three of them, each with less to go by than the one before."""
    ways = [
        lambda bill: (str(bill.owed), bill.names[0].upper(), bill.references[0], "Repair, with thanks"),
        lambda bill: (str(bill.owed), bill.names[0], "", "Repair"),
        lambda bill: (str(bill.owed - 1), "Joint account", "", f"{bill.numbers[0]} less bank charge"),
    ]
    return [way(bill) for way, bill in zip(ways, bills, strict=False)]
