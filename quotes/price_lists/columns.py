"""Which lists there are, and what each column of them holds. Pure."""

from dataclasses import dataclass
from typing import Literal

from quotes.tax_rules import TAX_KINDS

Kind = Literal["text", "lines", "amount", "cost", "percent", "whole", "yes", "choice", "not_read"]
SURCHARGE_KINDS = ("fee", "rush", "media", "labour", "post")
CONDITIONS = {"new": "new", "used": "used", "from a donor board": "donor", "donor": "donor"}


@dataclass(frozen=True)
class Column:
    """`key` is the name of the row's field, `head` what stands on top. `filled`: may not be empty where it is given.

    `choices`: what may be written, lower case, to what is meant. `most` and `least` are of whole numbers, `longest` of
    text in characters.
    """

    key: str
    head: str
    kind: Kind = "text"
    longest: int = 200
    filled: bool = False
    choices: tuple[tuple[str, str], ...] = ()
    least: int = 0
    most: int = 100_000


@dataclass(frozen=True)
class PriceList:
    """One list. `key_column` is the field a row is found by; a new row cannot be without the fields of `new_needs`."""

    key: str
    name: str
    one: str
    key_column: str
    new_needs: tuple[str, ...]
    columns: tuple[Column, ...]

    def column(self, key: str) -> Column:
        """The column of a field. Raises StopIteration for none."""
        return next(column for column in self.columns if column.key == key)


_TAX = (("", ""), *((kind, kind) for kind in TAX_KINDS))

LISTS: dict[str, PriceList] = {
    "parts": PriceList(
        "parts", "Parts", "part", "number", ("name",),
        (
            Column("number", "Number", longest=30, filled=True),
            Column("name", "Name", longest=120, filled=True),
            Column("fits", "Fits"),
            Column("bin", "Bin", longest=20),
            Column("condition", "Condition", "choice", filled=True, choices=tuple(CONDITIONS.items())),
            Column("unit_cost", "Cost", "cost", filled=True),
            Column("list_price", "List price", "amount"),
            Column("minimum_price", "Smallest price", "amount"),
            Column("tax_kind", "Tax kind", "choice", choices=_TAX),
            Column("special", "Ordered for one job", "yes", filled=True),
            Column("reorder_at", "Buy more at", "whole", filled=True),
            Column("active", "In use", "yes", filled=True),
            Column("on_hand", "On hand (not read)", "not_read"),
        ),
    ),
    "remedies": PriceList(
        "remedies", "Remedies", "remedy", "name", ("minutes",),
        (
            Column("name", "Name", longest=120, filled=True),
            Column("plain", "As the customer reads it"),
            Column("fault_class", "Kind of fault", longest=60),
            Column("minutes", "Minutes", "whole", filled=True, least=1, most=6000),
            Column("minutes_low", "Minutes low", "whole", least=1, most=6000),
            Column("minutes_high", "Minutes high", "whole", least=1, most=6000),
            Column("flat_price", "Fixed price", "amount"),
            Column("tax_kind", "Tax kind", "choice", choices=_TAX),
            Column("warranty_days", "Warranty days", "whole", most=3650),
            Column("steps", "Steps", "lines", longest=120),
            Column("active", "In use", "yes", filled=True),
        ),
    ),
    "surcharges": PriceList(
        "surcharges", "Surcharges", "surcharge", "name", (),
        (
            Column("name", "Name", longest=80, filled=True),
            Column("plain", "As the customer reads it"),
            Column("kind", "Kind", "choice", filled=True, choices=tuple((kind, kind) for kind in SURCHARGE_KINDS)),
            Column("amount", "Sum", "amount"),
            Column("percent", "Percent", "percent"),
            Column("still_charged", "Owed if it fails", "yes", filled=True),
            Column("active", "In use", "yes", filled=True),
        ),
    ),
}  # fmt: skip
