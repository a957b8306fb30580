"""Who a paper is from, how it writes money and dates, and the photos it shows: plain values."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Head:
    """The shop as it stands on a paper. `page` is "A4" or "Letter"; `zone` an IANA name; `locale` as babel has it."""

    shop_name: str
    address: tuple[str, ...]
    email: str
    phone: str
    legal_name: str = ""
    tax_number: str = ""
    currency: str = "USD"
    locale: str = "en_US"
    language: str = "en-GB"
    zone: str = "UTC"
    page: str = "A4"

    @property
    def supplier(self) -> str:
        return self.legal_name or self.shop_name


@dataclass(frozen=True)
class Snap:
    """One photo on a paper: what it shows and its JPEG bytes (already re-encoded by the shop)."""

    caption: str
    jpeg: bytes
