"""The customers of the made orders: invented names, shared by many orders each."""

import datetime as dt
import random
from dataclasses import dataclass
from typing import Any

from django.db import connection

from intake.addressing import address_lines
from intake.models import Address, Customer, Person
from quotes.models import TradeAccount
from shop.bulk.calendar import next_pk
from shop.demo.crowd import FIRST, LAST

STREETS = ("Nowhere Lane", "Example Row", "Sample Street", "Made-up Way")
TRADES = ("Repairs", "Phones", "Bench", "Devices")
PORTION = 2_000


@dataclass(frozen=True)
class Sender:
    """A customer as rows repeat it: `lines` as an invoice keeps its address, ready for the database."""

    pk: int
    address: int
    name: str
    email: str
    lines: Any


def make_senders(private: int, trade: int, *, by: Person, at: dt.datetime, seed: int) -> list[Sender]:
    """Private ones first, then those of the trade with their accounts."""
    dice = random.Random(seed)  # noqa: S311 -- invented people, no secret
    customer, address = next_pk(Customer), next_pk(Address)
    made: list[Sender] = []
    people: list[Customer] = []
    places: list[Address] = []
    for number in range(private + trade):
        name, email = _named(number, dice) if number < private else _bench(number, dice)
        people.append(
            Customer(
                pk=customer + number,
                name=name,
                email=email,
                phone=f"555-01{number % 100:02d}",
                trade=number >= private,
                created_at=at,
            )  # fmt: skip
        )
        place = Address(
            pk=address + number, name=name, street=f"{1 + number % 97} {dice.choice(STREETS)}", city="Anytown",
            area="ZZ", postcode="00000", country="US",
        )  # fmt: skip
        places.append(place)
        lines = connection.ops.adapt_json_value(list(address_lines(place, home="US")), None)
        made.append(Sender(customer + number, address + number, name, email, lines))
    Customer.objects.bulk_create(people, batch_size=PORTION)
    Address.objects.bulk_create(places, batch_size=PORTION)
    TradeAccount.objects.bulk_create(
        TradeAccount(customer_id=sender.pk, payment_days=30, changed_at=at, changed_by=by)
        for sender in made[private:]
    )
    return made


def _named(number: int, dice: random.Random) -> tuple[str, str]:
    first, last = dice.choice(FIRST), dice.choice(LAST)
    return f"{first} {last}", f"{first}.{last}{number}@example.com".lower()


def _bench(number: int, dice: random.Random) -> tuple[str, str]:
    word, trade = dice.choice(LAST), dice.choice(TRADES)
    return f"{word} {trade} {number}", f"bench.{word}{number}@example.com".lower()
