"""What every card provider must be able to do here, and where the shop finds the one it chose.

An adapter is a class of three members, registered under the name that the letterhead keeps. It holds no state of orders:
what was started and what was reported stands in the rows.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, Protocol

Kind = Literal["paid", "failed", "refunded", "disputed", "dispute_won", "dispute_lost"]
KINDS: tuple[Kind, ...] = ("paid", "failed", "refunded", "disputed", "dispute_won", "dispute_lost")


class WrongSignature(ValueError):
    """The report was not signed by the provider: nothing of it is looked at or kept."""


class NotReadable(ValueError):
    """The report is signed and yet makes no sense; the provider is told, so that it comes again or somebody looks."""


@dataclass(frozen=True)
class Started:
    """A payment page that waits at the provider: its name there, and the address to send the customer to."""

    ident: str
    address: str


@dataclass(frozen=True)
class Event:
    """One report. `ident` is the provider's own name of it, the same however often it is sent; amounts above nought."""

    ident: str
    kind: Kind
    checkout: str
    amount: Decimal
    currency: str
    at: dt.datetime
    fee: Decimal = Decimal(0)
    why: str = ""
    answer_by: dt.date | None = None


class CardProvider(Protocol):
    """An adapter to one provider."""

    name: str

    def start(self, *, order: str, amount: Decimal, currency: str, back: str) -> Started:
        """Open a payment page for an order code; `back` is where the customer returns to. Raises OSError when out of reach."""
        ...

    def read_event(self, *, headers: Mapping[str, str], body: bytes) -> Event:
        """Check the signature first, then read. Raises WrongSignature, NotReadable."""
        ...


_providers: dict[str, CardProvider] = {}


def register(provider: CardProvider) -> None:
    """Make a provider known under its name; the same name again replaces it."""
    _providers[provider.name] = provider


def forget(name: str) -> None:
    """Take a provider away again."""
    _providers.pop(name, None)


def find(name: str) -> CardProvider | None:
    """The provider of that name, or None."""
    return _providers.get(name)


def names() -> list[str]:
    """The names that a shop can choose from."""
    return sorted(_providers)
