"""The demonstration's price book: what comes on top, prices of the trade, minutes with their spread. All invented."""

from decimal import Decimal
from typing import Any

from intake.house_rules import change_letterhead
from intake.models import Letterhead
from quotes import price_book, price_rows
from quotes.cards.offline import OfflineProvider
from quotes.models import Part, Rates, Remedy, TradeTier
from quotes.profile_text import to_plain
from quotes.tax_rules import Profile, Rule
from shop.demo.stage import World, missing
from shop.stockroom.register import Described, add_part, change_part

RECOVER = "Recover data from original board"
BENCH_TIER, BATCH_TIER = "Other benches", "Boards by the batch"
SPECIAL = "CABLE-F13"
# The days before the moment of the world on which these hold; the shop itself was set up a day earlier.
SINCE = 89

SURCHARGES: list[dict[str, Any]] = [
    {"name": "Rush", "plain": "First on the bench", "kind": "rush", "amount": Decimal("35.00")},
    {
        "name": "Soldered shield", "plain": "A soldered shield taken off and put back", "kind": "fee",
        "amount": Decimal("15.00"),
    },
    {
        "name": "Liquid", "plain": "The rest of the board looked through after liquid", "kind": "labour",
        "percent": Decimal("15"), "still_charged": True,
    },
    {"name": "Long parcel", "plain": "Return post of a large parcel", "kind": "post", "amount": Decimal("18.00")},
]  # fmt: skip
TIERS: list[dict[str, Any]] = [
    {
        "name": BENCH_TIER, "labour_factor": Decimal("0.85"), "parts_factor": Decimal("0.90"), "payment_days": 14,
    },
    {"name": BATCH_TIER, "labour_factor": Decimal("0.73"), "post_free": True, "payment_days": 30},
]  # fmt: skip
# Least and most minutes, beside the standard ones.
MINUTES = {
    "Replace charging socket": (45, 90),
    "Fit jumper wire": (40, 120),
    "Replace shorted capacitor": (30, 80),
    "Clean and rework corroded charge circuit": (90, 240),
    RECOVER: (80, 300),
    "Reflow processor joints": (90, 180),
}
COPYING = ["Power held up from outside", "Storage read out", "Copy compared with its digest list", "Closed"]
REMEDIES: list[dict[str, Any]] = [
    {
        "name": "Clean only", "plain": "The board cleaned and dried, nothing replaced", "fault_class": "liquid corrosion",
        "minutes": 40, "minutes_low": 30, "minutes_high": 60, "flat_price": Decimal("48.00"),
        "steps": ["Shield off", "Board cleaned", "Dried", "Closed"],
    },
]  # fmt: skip
# Without a list price, so that the band of the cost makes it; pieces, cost of one.
BY_BAND = [
    ("RES-KIT", "Small parts, per job", "A6", "1.50", 80, "0.21"),
    ("SOCK-U2", "Charging socket U2", "B8", None, 6, "6.40"),
]


def tax_rules() -> dict[str, Any]:
    """The shop's 8 % on parts and media as rules, so that a certificate of the trade counts. Invented, no advice."""
    goods = ("part", "media")
    shown = Rule("exempt", goods, customers=("certificate",), reason="Resale certificate shown.")
    taxed = Rule("rate", goods, percent=Decimal(8))
    return to_plain(
        Profile("Anytown", 1, "US-ZZ", (shown, taxed, Rule("zero")), "Invented for the demonstration.")
    )


def fill(world: World) -> None:
    """Through the same actions as the owner's pages."""
    by, at = world.owner, world.ago(SINCE)
    changes = {"tax_rules": tax_rules(), "interest_percent": Decimal(8)}
    price_book.change_rates(changes=changes, seen_version=Rates.current().version, by=by, at=at)
    for row in SURCHARGES:
        price_rows.save_surcharge(surcharge=None, changes=row, by=by, at=at)
    for row in TIERS:
        price_rows.save_tier(tier=None, changes=row, by=by, at=at)
    for row in REMEDIES:
        price_rows.save_remedy(remedy=None, changes=row, by=by, at=at)
    for name, (low, high) in MINUTES.items():
        spread: dict[str, Any] = {"minutes_low": low, "minutes_high": high}
        if name == RECOVER:
            spread |= {"steps": COPYING}
        price_rows.save_remedy(remedy=Remedy.objects.get(name=name), changes=spread, by=by, at=at)
    _parts(world)
    head = Letterhead.current()
    change_letterhead(
        changes={"card_provider": OfflineProvider.name}, seen_version=head.version, by=by, at=at
    )


def tier(name: str) -> TradeTier:
    return TradeTier.objects.get(name=name)


def _parts(world: World) -> None:
    by, at = world.owner, world.ago(SINCE)
    for number, name, place, least, pieces, cost in BY_BAND:
        made = Described(name=name, fits="any", bin=place, minimum_price=Decimal(least) if least else None)
        part = add_part(number=number, condition="new", described=made, by=by, at=at)
        world.put_in(part, pieces, cost, at=at, why="opening stock")
    cable = Described(
        name="Keyboard cable F13", fits="Oblivu Folio 13", list_price=Decimal("84.00"), special=True
    )
    world.put_in(
        add_part(number=SPECIAL, condition="new", described=cable, by=by, at=at),
        1,
        "46.00",
        at=at,
        why="special order",
    )
    missing(world, SPECIAL, 1, at=at, why="torn when it came")
    chip = Part.objects.get(number="CHG-S2")
    told = Described(
        name=chip.name, fits=chip.fits, bin=chip.bin, list_price=chip.list_price, special=True,
        minimum_price=Decimal("90.00"), reorder_at=chip.reorder_at,
    )  # fmt: skip
    change_part(part=chip, described=told, by=by, at=at)
