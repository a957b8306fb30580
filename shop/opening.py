"""Open a new shop: its owner, a first letterhead and first rates; everything else the owner edits on the pages."""

import datetime as dt
import zoneinfo
from dataclasses import dataclass
from decimal import Decimal

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction

from intake.addresses import countries
from intake.models import Letterhead, Person
from intake.money import MINOR_UNITS
from intake.refusals import Refused
from intake.staffing import LONGEST_NAME
from quotes.models import Rates

# What people usually see; common practice, no source. The owner changes the list in the settings.
SYMPTOMS = [
    "Does not start",
    "Does not charge",
    "No picture",
    "Picture but no touch",
    "Nobody hears me",
    "No sound",
    "No signal",
    "Gets hot",
    "Battery empties fast",
    "Turns itself off",
    "Camera does not work",
    "Buttons do not work",
]
TERMS = (
    "You pay nothing with this form. We look at the board first and quote you one fixed total. We start only "
    "when you say yes. If you say no, or if it cannot be mended, you pay the return post and nothing else. "
    "Repair can lose what is stored on a device: back up if you can. We do not promise data."
)
PRIVACY = (
    "We keep your name, address and letters for this order and as long as tax law asks for invoices. We do not look "
    "at what is on your device; we test without your code unless you wish otherwise. Ask us and we tell you what we "
    "hold, or erase what the law does not make us keep."
)
NO_FIX = "If the repair does not succeed you pay nothing for the work and the parts. The return post is still charged."
WARRANTY = "90 days from delivery on the work done and the parts fitted, not on the rest of the device."
STORAGE = "A finished device is kept free of charge for 30 days after our letter. Then we write to you again."

LONGEST = {
    "name": 120, "street": 240, "city": 80, "area": 80, "postcode": 20, "phone": 40, "locale": 20, "full_name": 150,
}  # fmt: skip


@dataclass(frozen=True)
class NewShop:
    """What has to be known before the first page: the shop, where it is, and who owns it."""

    name: str
    email: str
    street: str
    city: str
    country: str
    currency: str
    zone: str
    username: str
    full_name: str
    password: str
    area: str = ""
    postcode: str = ""
    phone: str = ""
    locale: str = "en_GB"


@transaction.atomic
def open_shop(*, shop: NewShop, at: dt.datetime) -> Person:
    """Make owner, letterhead and rates. Raises Refused, with the field, for what cannot stand; once only."""
    if Letterhead.objects.exists():
        raise Refused("This shop is open already. Change it on the settings page.")
    _check(shop)
    first, _, last = shop.full_name.strip().partition(" ")
    owner = Person(
        username=shop.username.strip().lower(),
        first_name=first,
        last_name=last,
        email=shop.email,
        initials="".join(word[0] for word in shop.full_name.split())[:4].upper(),
        role=Person.Role.OWNER,
    )
    try:
        validate_password(shop.password, owner)
    except ValidationError as fault:
        raise Refused(" ".join(fault.messages), field="password") from fault
    owner.set_password(shop.password)
    owner.save()
    _letterhead(shop, owner, at)
    _rates(owner, at)
    return owner


def _check(shop: NewShop) -> None:
    for field in ("name", "street", "city", "username", "full_name"):
        if not getattr(shop, field).strip():
            raise Refused("This must not be empty.", field=field)
    try:
        validate_email(shop.email)
    except ValidationError as fault:
        raise Refused("That is not an e-mail address.", field="email") from fault
    if len(shop.username.strip()) > LONGEST_NAME:
        raise Refused(f"Keep it to {LONGEST_NAME} letters.", field="username")
    for field, longest in LONGEST.items():
        if len(getattr(shop, field).strip()) > longest:
            raise Refused(f"That is too long: the most is {longest} characters.", field=field)
    if shop.zone not in zoneinfo.available_timezones():
        raise Refused("Name a time zone such as Europe/Berlin or America/New_York.", field="zone")
    if shop.currency not in MINOR_UNITS:
        raise Refused("Name a currency by its three letters, such as EUR or USD.", field="currency")
    if shop.country not in {code for code, _ in countries()}:
        raise Refused("Name a country by its two letters, such as DE or US.", field="country")


def _letterhead(shop: NewShop, owner: Person, at: dt.datetime) -> None:
    Letterhead.objects.create(
        version=1,
        since=at,
        changed_by=owner,
        name=shop.name.strip(),
        legal_name=shop.name.strip(),
        street=shop.street,
        city=shop.city,
        area=shop.area,
        postcode=shop.postcode,
        country=shop.country,
        email=shop.email,
        phone=shop.phone,
        zone=shop.zone,
        locale=shop.locale,
        currency=shop.currency,
        paper_size="Letter" if shop.country in ("US", "CA", "MX") else "A4",
        terms=TERMS,
        privacy=PRIVACY,
        no_fix_words=NO_FIX,
        warranty_words=WARRANTY,
        storage_words=STORAGE,
        symptoms=SYMPTOMS,
    )


def _rates(owner: Person, at: dt.datetime) -> None:
    Rates.objects.create(
        version=1,
        since=at,
        changed_by=owner,
        rate_per_minute=Decimal("1.50"),
        cost_per_minute=Decimal("0.70"),
        markup_bands=[["1.00", "4"], ["20.00", "2"], [None, "1.6"]],
        return_post_price=Decimal("12.00"),
        return_post_cost=Decimal("9.00"),
        reminder_days=[3, 7, 14],
    )
