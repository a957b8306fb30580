"""What goes into the pricing and what comes out: plain frozen values, every amount a Decimal."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quotes.tax import Rounding, TaxGroup
from quotes.tax_rules import Profile

KINDS = ("labour", "part", "post", "rush", "fee", "media")


class PricingError(ValueError):
    """A line that cannot be priced; the message is a sentence to show beside it."""


@dataclass(frozen=True)
class LineInput:
    """One line before it is priced.

    `unit_price` and `unit_cost` are of one unit (`per` units where a price is for several), in the shop's currency, with
    or without tax as the policy says. `listed`: the price is the price book's, not set for this line, so that a trade
    tier's factor counts. `minimum_price` is of one unit and holds for prices listed or made by rule. `allowance` and
    `charge` are of the whole line, after quantity x price / per, each rounded by itself. `minutes` are bench minutes of
    one unit. `tax_percent` overrules the rate of the kind, `tax_category` (EN 16931 letter) and `tax_reason` what the
    profile says; `tax_kind` is the kind the tax looks at, where it is not `kind`. `still_charged`: owed even if the
    repair fails. `ref` is the caller's own mark. Only a fee may be below nought.
    """

    kind: str
    text: str
    quantity: Decimal = Decimal(1)
    unit_price: Decimal | None = None
    unit_cost: Decimal | None = None
    minutes: Decimal | int | None = None
    per: Decimal = Decimal(1)
    tax_percent: Decimal | None = None
    still_charged: bool = False
    ref: str = ""
    allowance: Decimal = Decimal(0)
    charge: Decimal = Decimal(0)
    minimum_price: Decimal | None = None
    listed: bool = False
    tax_kind: str = ""
    tax_category: str = ""
    tax_reason: str = ""


@dataclass(frozen=True)
class DocumentItem:
    """An allowance or a charge on the whole document (EN 16931 BG-20, BG-21), nought or more, with tax as the policy says.

    Either `amount`, or `percent` of `base`, which is the sum of the lines where none is given. Without `tax_percent`,
    `tax_category` and `tax_kind` it is spread over the lines' tax groups by their share of the sum.
    """

    text: str
    amount: Decimal | None = None
    percent: Decimal | None = None
    tax_percent: Decimal | None = None
    tax_category: str = ""
    base: Decimal | None = None
    tax_kind: str = ""
    tax_reason: str = ""


@dataclass(frozen=True)
class Policy:
    """How the shop prices on a given day. Percents are numbers such as 8 for 8 %; minutes are bench minutes.

    `markup_bands`: (cost up to and including, or None for any, factor), first fit wins. `price_ending`: prices made by rule are
    raised to the next one that ends so (0.90 gives 12.90; 9 gives 19, 29). `labour_factor` and `parts_factor` are a trade
    tier's, on prices listed or made by rule. With a `tax_profile` the tax follows its rules for `place` (where the device
    goes, empty for the profile's home) and `customer`; without one, `tax_rates` by kind. `parts_apart`: the bill names
    each part's price. `cash_step`: the smallest coin, where the total is paid in cash.
    """

    currency: str
    rate_per_minute: Decimal
    cost_per_minute: Decimal
    tax_rates: Mapping[str, Decimal]
    return_post_price: Decimal
    return_post_cost: Decimal
    tax_name: str = "Tax"
    tax_inclusive: bool = False
    rounding: Rounding = "document"
    price_ending: Decimal | None = None
    markup_bands: Sequence[tuple[Decimal | None, Decimal]] = ()
    minimum_charge: Decimal = Decimal(0)
    declined_fee: Decimal = Decimal(0)
    labour_factor: Decimal = Decimal(1)
    parts_factor: Decimal = Decimal(1)
    tax_profile: Profile | None = None
    place: str = ""
    customer: str = "consumer"
    parts_apart: bool = True
    cash_step: Decimal | None = None


@dataclass(frozen=True)
class Line:
    """A priced line. net + tax = gross; `cost` is what the shop itself spends on it, bench minutes included.

    Without tax in the prices: net = round(quantity x unit_price / per) - allowance + charge (BT-131). With tax in them,
    that is the gross, since `unit_price`, `allowance` and `charge` are as they were given.
    """

    kind: str
    text: str
    quantity: Decimal
    unit_price: Decimal
    rate: Decimal
    net: Decimal
    tax: Decimal
    gross: Decimal
    cash_cost: Decimal
    minutes: Decimal
    cost: Decimal
    why: str
    still_charged: bool
    ref: str
    allowance: Decimal = Decimal(0)
    charge: Decimal = Decimal(0)
    per: Decimal = Decimal(1)
    tax_category: str = ""
    tax_reason: str = ""


@dataclass(frozen=True)
class DocumentLine:
    """A priced allowance or charge of the document, in one tax group; every amount nought or more, net + tax = gross.

    `percent` and `base` are set where it was a share and was not spread over several groups.
    """

    text: str
    net: Decimal
    tax: Decimal
    gross: Decimal
    rate: Decimal
    tax_category: str
    tax_reason: str
    why: str
    percent: Decimal | None = None
    base: Decimal | None = None


@dataclass(frozen=True)
class Priced:
    """All amounts at the currency's digits. margin = net - shop_cost; cash_margin leaves the bench minutes out.

    The sums of EN 16931: line_sum (BT-106) - allowance_sum (107) + charge_sum (108) = net (109); net + tax (110) = total
    (112); total + rounding (114) = payable (115, before anything paid in advance).
    """

    currency: str
    lines: tuple[Line, ...]
    tax_groups: tuple[TaxGroup, ...]
    net: Decimal
    tax: Decimal
    total: Decimal
    minutes: Decimal
    shop_cost: Decimal
    margin: Decimal
    cash_margin: Decimal
    line_sum: Decimal = Decimal(0)
    allowance_sum: Decimal = Decimal(0)
    charge_sum: Decimal = Decimal(0)
    allowances: tuple[DocumentLine, ...] = ()
    charges: tuple[DocumentLine, ...] = ()
    rounding: Decimal = Decimal(0)
    payable: Decimal = Decimal(0)
