"""What an electronic invoice says, in plain values. BT and BG numbers are those of EN 16931-1:2017.

All amounts are Decimal in the document's currency and positive as a rule, on a credit note as well (type code 381 says that
they run the other way). Quantities and prices are Decimal; percents are numbers such as 19 for 19 %.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

NOUGHT = Decimal(0)
ONE = Decimal(1)

# How the shop makes its tax: once for each rate on the sum (the standard's own rule), line by line, or out of prices that
# hold the tax already; "share" is a credit note over a part, whose tax is a share of the invoice's tax, so that all parts
# together are the whole. The EU leaves it to its member states (C-484/06, C-302/07, seen in summaries).
TaxRule = Literal["document", "line", "inclusive", "share"]


@dataclass(frozen=True)
class Party:
    """Seller (BG-4) or buyer (BG-7). `country` is ISO 3166-1 alpha-2; `tax_number` as it is printed on papers.

    `identifier` (BT-29) names a seller who has no VAT identifier.
    """

    name: str
    country: str
    street: str = ""
    more: str = ""
    city: str = ""
    area: str = ""
    postcode: str = ""
    trade_name: str = ""
    tax_number: str = ""
    identifier: str = ""
    email: str = ""
    phone: str = ""


@dataclass(frozen=True)
class Item:
    """A reduction (BG-20, amount taken off) or an addition (BG-21) on the whole document."""

    text: str
    amount: Decimal
    category: str
    percent: Decimal = NOUGHT


@dataclass(frozen=True)
class LineFacts:
    """One line (BG-25): net = round(quantity x price / per) - allowance + charge, at the currency's digits."""

    number: str
    text: str
    quantity: Decimal
    price: Decimal
    net: Decimal
    category: str
    percent: Decimal = NOUGHT
    per: Decimal = ONE
    unit: str = "C62"
    allowance: Decimal = NOUGHT
    charge: Decimal = NOUGHT


@dataclass(frozen=True)
class Group:
    """The tax of one category and rate (BG-23): `base` is BT-116, `tax` BT-117, `reason` why there is none (BT-120)."""

    category: str
    percent: Decimal
    base: Decimal
    tax: Decimal
    reason: str = ""


@dataclass(frozen=True)
class InvoiceFacts:
    """The whole document. `payable` = total - prepaid + rounding. `credit_of` is (number, day) of the invoice credited.

    `account` is an IBAN or any other account text; `reference` an ISO 11649 creditor reference.
    """

    number: str
    kind: Literal["invoice", "credit"]
    issued: date
    currency: str
    seller: Party
    buyer: Party
    lines: tuple[LineFacts, ...]
    groups: tuple[Group, ...]
    line_sum: Decimal
    net: Decimal
    tax: Decimal
    total: Decimal
    payable: Decimal
    allowances: tuple[Item, ...] = ()
    charges: tuple[Item, ...] = ()
    allowance_sum: Decimal = NOUGHT
    charge_sum: Decimal = NOUGHT
    prepaid: Decimal = NOUGHT
    rounding: Decimal = NOUGHT
    due: date | None = None
    supplied: date | None = None
    reference: str = ""
    account: str = ""
    bic: str = ""
    order_code: str = ""
    credit_of: tuple[str, date] | None = None
    note: str = ""
    terms: str = ""
    tax_rule: TaxRule = "document"
