"""The invented shop of the demonstration: its letterhead, rates, people, remedies and parts.

Everything here is made up (Quillmere Bench, Anytown). The tests stand on the same shop.
"""

import datetime as dt
from decimal import Decimal

from django.db import transaction

from intake.lifecycle import staff
from intake.models import Letterhead, Person
from quotes import stock
from quotes.models import Part, Rates, Remedy
from shop.opening import NO_FIX, STORAGE, SYMPTOMS, WARRANTY

PASSWORDS = {"ansel": "bench-under-glass", "pim": "parcel-by-noon"}

TERMS = (
    "You pay nothing with this form. We look at the board first and quote you one fixed total. We start only "
    "when you say yes. If you say no, or if it cannot be mended, you pay the return post of 12.00 USD and "
    "nothing else. A special part may need a deposit; we would ask first. Repair can lose what is stored on a "
    "device: back up if you can. We do not promise data."
)
PRIVACY = (
    "We keep your name, address and letters for this order and for as long as the tax law asks for invoices. "
    "We do not look at what is on your device; we test without your code unless you wish otherwise. Ask us and "
    "we tell you what we hold, or erase what the law does not make us keep."
)
REMEDIES = [
    ("Replace charging socket", "New charging socket", "connector damage", 60, "96.00"),
    ("Fit jumper wire", "A fine wire over the torn pad", "torn pad", 60, "96.00"),
    ("Replace shorted capacitor", "The shorted part replaced", "shorted capacitor", 50, "80.00"),
    (
        "Clean and rework corroded charge circuit",
        "Corrosion cleaned, charge circuit rebuilt",
        "liquid corrosion",
        150,
        "240.00",
    ),
    (
        "Recover data from original board",
        "Your data copied to an encrypted stick",
        "data recovery",
        138,
        "220.00",
    ),
    ("Rework antenna switch joint", "The cracked antenna joint remade", "cracked joint", 69, "110.00"),
    ("Replace display driver chip", "The display driver replaced", "driver chip", 60, None),
    ("Replace power chip", "The power chip replaced", "power chip", 90, None),
    ("Reflow processor joints", "The joints under the processor remade", "cracked joint", 120, "198.00"),
    ("Replace burnt filter", "The burnt filter replaced", "burnt filter", 35, None),
]

STEPS = [
    "Shield off",
    "Board cleaned",
    "Part off, pads cleaned",
    "Part on",
    "Checked under the microscope",
    "Closed",
]

PARTS = [
    ("CAP-10U", "Capacitor 10 uF", "any", "A1", "new", 120, "0.03", "2.00"),
    ("WIRE-002", "Jumper wire 0.02 mm, per job", "any", "A2", "new", 60, "0.09", "4.00"),
    ("CHG-S2", "Charge chip S2", "Oblivu Folio 13", "B1", "new", 2, "70.10", "118.00"),
    ("SOCK-C7", "Charging socket C7", "Zarnik Z7, Quibbet Phone 3", "B2", "new", 14, "3.40", "12.00"),
    ("ANT-J1", "Antenna switch J1", "Zarnik Z7", "B3", "new", 8, "1.20", "6.00"),
    ("STICK-32", "Encrypted stick 32 GB", "data recovery", "C1", "new", 6, "6.20", "9.00"),
    ("FILT-3", "Display filter, three-way", "Plenthor Note 5", "A3", "new", 40, "0.22", "3.00"),
    ("DRV-L4", "Display driver L4", "Zarnik Slate 9", "B4", "new", 12, "4.80", "14.00"),
    ("PWR-M1", "Power chip M1", "Oblivu One", "B5", "new", 14, "8.90", "22.00"),
    ("SOLD-B", "Solder balls and stencil, per job", "processor work", "A4", "new", 20, "0.35", "3.00"),
    ("DON-Q3", "Speaker", "Quibbet Phone 3", "D1", "donor", 2, "2.10", "9.00"),
    ("CHG-L22", "Charge chip L", "Plenthor Note 5", "B6", "new", 9, "1.45", "5.00"),
    ("CHG-T9", "Charge chip T9", "Zarnik Slate 9", "B7", "new", 4, "7.40", "24.00"),
    ("FLUX-1", "Flux and solder, per job", "any", "A5", "new", 80, "0.10", "1.00"),
]


@transaction.atomic
def set_up_shop(*, at: dt.datetime) -> tuple[Person, Person]:
    """Make people, letterhead, rates, remedies and stock; returns owner and technician."""
    owner, technician = _people()
    Letterhead.objects.create(
        version=1,
        since=at,
        changed_by=owner,
        name="Quillmere Bench",
        legal_name="Quillmere Bench, owner Ansel Rook",
        street="Unit 4\n12 Example Row",
        city="Anytown",
        area="ZZ",
        postcode="00000",
        country="US",
        email="bench@quillmere.example",
        phone="555-0100",
        hours="weekdays 9 to 5",
        tax_number="00-0000000",
        bank_account="Anytown Savings, account 0000 1234 5678",
        zone="America/New_York",
        locale="en_US",
        currency="USD",
        paper_size="Letter",
        post_profile="usps",
        terms=TERMS,
        privacy=PRIVACY,
        no_fix_words=NO_FIX,
        warranty_words=WARRANTY,
        storage_words=STORAGE,
        symptoms=SYMPTOMS,
    )
    _rates(owner, at)
    _remedies()
    _stock(owner, at)
    return owner, technician


def _people() -> tuple[Person, Person]:
    people = []
    for username, first, last, initials, role in [
        ("ansel", "Ansel", "Rook", "AR", "owner"),
        ("pim", "Pim", "Dallow", "PD", "technician"),
    ]:
        person = Person(
            username=username, first_name=first, last_name=last, initials=initials, role=role,
            email=f"{username}@quillmere.example",
        )  # fmt: skip
        person.set_password(PASSWORDS[username])
        person.save()
        people.append(person)
    return people[0], people[1]


def _rates(owner: Person, at: dt.datetime) -> None:
    Rates.objects.create(
        version=1,
        since=at,
        changed_by=owner,
        rate_per_minute=Decimal("1.60"),
        cost_per_minute=Decimal("0.70"),
        tax_name="Sales tax",
        tax_percents={"part": "8", "media": "8"},
        markup_bands=[["1.00", "4"], ["20.00", "2"], [None, "1.6"]],
        return_post_price=Decimal("12.00"),
        return_post_cost=Decimal("9.40"),
        rush_fee=Decimal("35.00"),
        card_percent=Decimal("2.9"),
        card_fixed=Decimal("0.30"),
        quote_days=21,
        reminder_days=[3, 7, 14],
        promise_days=7,
        warranty_days=90,
        payment_days=14,
    )


def _remedies() -> None:
    Remedy.objects.bulk_create(
        Remedy(
            name=name,
            plain=plain,
            fault_class=fault,
            minutes=minutes,
            flat_price=Decimal(price) if price else None,
            steps=STEPS,
        )
        for name, plain, fault, minutes, price in REMEDIES
    )


def _stock(owner: Person, at: dt.datetime) -> None:
    for number, name, fits, place, condition, count, cost, price in PARTS:
        part = Part.objects.create(
            number=number,
            name=name,
            fits=fits,
            bin=place,
            condition=condition,
            list_price=Decimal(price),
            reorder_at=3,
        )
        stock.receive(
            part=part,
            quantity=count,
            unit_cost=Decimal(cost),
            key=f"opening:{number}",
            by=staff(owner),
            at=at,
            why="opening stock",
        )
