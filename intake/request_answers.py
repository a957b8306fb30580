"""What a customer answered, as plain values: the form fills it, `intake.submissions` makes an order of it."""

from dataclasses import dataclass, field
from decimal import Decimal


@dataclass(frozen=True)
class AddressAnswer:
    """A postal address as typed; `country` is an ISO 3166-1 alpha-2 code."""

    name: str
    street: str
    city: str
    country: str
    organisation: str = ""
    area: str = ""
    postcode: str = ""


@dataclass(frozen=True)
class RequestAnswers:
    """One request. Lists hold the ticked words; money is in the shop's currency."""

    kind: str
    name: str
    email: str
    phone: str = ""
    address: AddressAnswer | None = None
    make: str = ""
    model: str = ""
    colour: str = ""
    serial: str = ""
    imei: str = ""
    symptoms: list[str] = field(default_factory=list)
    words: str = ""
    idea: str = ""
    before: list[str] = field(default_factory=list)
    before_words: str = ""
    data_wish: str = ""
    backed_up: str = ""
    lock_wish: str = ""
    standing_limit: Decimal | None = None
    cell_signs: list[str] = field(default_factory=list)
    in_the_box: list[str] = field(default_factory=list)
    declared_value: Decimal | None = None
