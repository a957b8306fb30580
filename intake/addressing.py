"""Address rows as lines of print."""

from intake import addresses
from intake.models import Address, Letterhead


def address_lines(address: Address | None, *, home: str = "") -> tuple[str, ...]:
    """An address as its country writes it, the country left out at `home`; () for a parcel nobody announced."""
    if address is None:
        return ()
    fields = ("name", "organisation", "street", "city", "area", "postcode", "country")
    return tuple(addresses.lines({field: getattr(address, field) for field in fields}, home=home))


def shop_lines(letterhead: Letterhead) -> tuple[str, ...]:
    """The shop's own name and address, as a parcel to it is written at home."""
    fields = ("name", "street", "city", "area", "postcode", "country")
    given = {field: getattr(letterhead, field) for field in fields}
    return tuple(addresses.lines(given, home=letterhead.country))
