"""Under which letterhead and rates the books stand."""

import zoneinfo
from decimal import Decimal

from intake.models import Letterhead
from intake.money import minor_units
from quotes.models import Rates
from shop.books.lines import House

# A bench minute is priced to four digits of the smallest unit.
FINE = 10_000


def house() -> House:
    """Two queries. Raises DoesNotExist before the shop is set up."""
    head = Letterhead.current()
    digits = minor_units(head.currency)
    return House(
        head.currency, digits, zoneinfo.ZoneInfo(head.zone), finely(Rates.current().cost_per_minute, digits)
    )


def finely(cost_per_minute: Decimal, digits: int) -> int:
    """What a minute costs, in smallest units times ten thousand."""
    return int((cost_per_minute * 10**digits * FINE).to_integral_value())


def smallest_units(amount: Decimal | None, digits: int) -> int:
    """An amount as a whole number of smallest units, rounded half up, away from nought."""
    if amount is None:
        return 0
    shifted = amount.scaleb(digits)
    whole = int(abs(shifted) + Decimal("0.5"))
    return whole if shifted >= 0 else -whole


def bench_cost(minutes: int, finely: int) -> int:
    """Minutes at `finely` each, rounded half up to the smallest unit."""
    return (2 * minutes * finely + FINE) // (2 * FINE)
