"""Address rows as lines of print."""

from intake import addresses
from intake.models import Address


def address_lines(address: Address | None, *, home: str = "") -> tuple[str, ...]:
    """An address as its country writes it, the country left out at `home`; () for a parcel nobody announced."""
    if address is None:
        return ()
    fields = ("name", "organisation", "street", "city", "area", "postcode", "country")
    return tuple(addresses.lines({field: getattr(address, field) for field in fields}, home=home))
