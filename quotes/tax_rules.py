"""Tax by rules: what kind of line, sent where, for whom; the first rule that fits gives category, percent and reason.

Category letters are those of EN 16931 (BT-151, UNTDID 5305). Which rule is right for a shop is for its tax adviser to say:
a profile only holds the answer, with a version, so that a document keeps the one of its day.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

TAX_KINDS = ("labour", "part", "post", "rush", "fee", "media", "diagnosis", "deposit")
CUSTOMERS = ("consumer", "trade", "certificate")
CATEGORIES = ("S", "Z", "E", "AE", "K", "G", "O", "L", "M")
FORMULAS = ("rate", "zero", "exempt", "reverse", "export", "outside", "parts_share")
WITH_RATE = frozenset({"S", "L", "M"})

Formula = Literal["rate", "zero", "exempt", "reverse", "export", "outside", "parts_share"]

# The categories a formula may end in; the first is meant where a rule names none.
_CATEGORIES_OF: dict[str, tuple[str, ...]] = {
    "rate": ("S", "L", "M"),
    "zero": ("Z",),
    "exempt": ("E",),
    "reverse": ("AE",),
    "export": ("G", "K"),
    "outside": ("O",),
    "parts_share": ("S", "L", "M"),
}

DEFAULT_REASONS = {
    "E": "Exempt from tax.",
    "AE": "Reverse charge: the customer accounts for the tax.",
    "K": "Supply to a business in another member state.",
    "G": "Sent out of the country: no tax here.",
    "O": "Outside the scope of tax here.",
}

# Member states of the European Union, from memory.
_EU = "AT BE BG CY CZ DE DK EE ES FI FR GR HR HU IE IT LT LU LV MT NL PL PT RO SE SI SK"
EU_MEMBERS = frozenset(_EU.split())

# What the ten-percent test does not count into the charge of the repair. Own reading, confirm with a tax adviser.
_NOT_THE_REPAIR = frozenset({"post", "deposit"})

_PLACE = re.compile(r"[A-Z]{2}(-[A-Z0-9]{1,3})?")


class ProfileError(ValueError):
    """A tax profile that cannot be, or has no answer; the message is a sentence to show."""


@dataclass(frozen=True)
class Treatment:
    """How one line is taxed: `percent` is a number such as 20 for 20 %; `reason` is a sentence or empty."""

    category: str
    percent: Decimal
    reason: str = ""


@dataclass(frozen=True)
class TaxedLine:
    """What a rule looks at: the tax kind, and the line's amount in the document's currency."""

    kind: str
    amount: Decimal


@dataclass(frozen=True)
class Rule:
    """One rule. Each of `kinds`, `places` and `customers` fits where it holds the line's own or '*'.

    A place is a country or a country and area ('US-CA'; a country fits its areas), 'EU' or 'abroad' (out of the
    profile's own country). `percent` is for the formulas rate and parts_share. `share`: of parts_share, in percent.
    """

    formula: Formula
    kinds: tuple[str, ...] = ("*",)
    places: tuple[str, ...] = ("*",)
    customers: tuple[str, ...] = ("*",)
    percent: Decimal = Decimal(0)
    category: str = ""
    reason: str = ""
    share: Decimal = Decimal(10)

    def __post_init__(self) -> None:
        _check_words("formula", (self.formula,), FORMULAS)
        _check_words("kind of line", self.kinds, ("*", *TAX_KINDS))
        _check_words("customer", self.customers, ("*", *CUSTOMERS))
        for place in self.places:
            if place not in ("*", "EU", "abroad") and not _PLACE.fullmatch(place):
                raise ProfileError(
                    f"A place is written like GB or US-CA, or is EU, abroad or *: not {place!r}."
                )
        if not (self.kinds and self.places and self.customers):
            raise ProfileError("Say which kinds, places and customers the rule is for; * means all.")
        _check_percent(self.percent, self.share)
        if self.category not in ("", *_CATEGORIES_OF[self.formula]):
            fitting = " or ".join(_CATEGORIES_OF[self.formula])
            raise ProfileError(f"The formula {self.formula} gives category {fitting}, not {self.category}.")
        if (self.percent == 0) == (self.formula in ("rate", "parts_share")):
            raise ProfileError("A percent belongs to the formulas rate and parts_share, and to no other.")

    @property
    def letter(self) -> str:
        """The category it gives."""
        return self.category or _CATEGORIES_OF[self.formula][0]


@dataclass(frozen=True)
class Profile:
    """A shop's tax rules. `home` is its country or country and area; the last rule fits everything."""

    name: str
    version: int
    home: str
    rules: tuple[Rule, ...]
    source: str = ""

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise ProfileError("A tax profile needs a name.")
        if isinstance(self.version, bool) or not isinstance(self.version, int) or self.version < 1:
            raise ProfileError("The version of a tax profile is a whole number from 1.")
        if not _PLACE.fullmatch(self.home):
            raise ProfileError(f"The home of a tax profile is written like GB or US-CA, not {self.home!r}.")
        for number, rule in enumerate(self.rules, start=1):
            open_to_all = "*" in rule.kinds and "*" in rule.places and "*" in rule.customers
            if open_to_all != (number == len(self.rules)):
                raise ProfileError(
                    f"Rule {number} fits everything, so no later rule is ever reached."
                    if open_to_all
                    else "The last rule must fit every kind, place and customer, so that no line has no answer."
                )
        if not self.rules:
            raise ProfileError("A tax profile needs at least one rule.")


def treat(
    lines: Sequence[TaxedLine], profile: Profile, place: str, customer: str, *, parts_apart: bool = True
) -> list[Treatment]:
    """How each line of a document is taxed, in the lines' order.

    `place` is where the device goes, such as 'GB' or 'US-CA'; empty, or the shop's
    country without an area, means its home. `parts_apart`: the bill
    names each part's price by itself. Raises ProfileError for a place or customer that is none.
    """
    # An area nobody knows is taken for the shop's own: rather taxed as at home than let go untaxed.
    where = profile.home if place in ("", profile.home[:2]) else place
    if not _PLACE.fullmatch(where):
        raise ProfileError(f"A place is written like GB or US-CA, not {where!r}.")
    _check_words("customer", (customer,), CUSTOMERS)
    parts = sum((line.amount for line in lines if line.kind == "part"), Decimal(0))
    charge = sum((line.amount for line in lines if line.kind not in _NOT_THE_REPAIR), Decimal(0))
    found = []
    for line in lines:
        rule = next(rule for rule in profile.rules if _fits(rule, line.kind, where, customer, profile.home))
        if rule.formula == "parts_share":
            found.append(_parts_share(rule, parts, charge, parts_apart))
        else:
            reason = rule.reason or DEFAULT_REASONS.get(rule.letter, "")
            found.append(Treatment(rule.letter, rule.percent, reason))
    return found


def _fits(rule: Rule, kind: str, place: str, customer: str, home: str) -> bool:
    return (
        ("*" in rule.kinds or kind in rule.kinds)
        and ("*" in rule.customers or customer in rule.customers)
        and any(_holds(wanted, place, home) for wanted in rule.places)
    )


def _holds(wanted: str, place: str, home: str) -> bool:
    country = place[:2]
    if wanted == "EU":
        return country in EU_MEMBERS
    if wanted == "abroad":
        return country != home[:2]
    return wanted in ("*", place, country)


def _parts_share(rule: Rule, parts: Decimal, charge: Decimal, parts_apart: bool) -> Treatment:
    """Parts are sold where they stand apart on the bill or are worth more than the share; else the shop uses them up."""
    share = f"{rule.share.normalize():f} %"
    if parts_apart:
        return Treatment(rule.letter, rule.percent, f"Parts stand apart on the bill. {rule.reason}".strip())
    if parts * 100 > charge * rule.share:
        return Treatment(
            rule.letter, rule.percent, f"Parts are more than {share} of the charge. {rule.reason}".strip()
        )
    return Treatment(
        "E",
        Decimal(0),
        f"Parts are no more than {share} of the charge: the shop pays the tax on them itself.",
    )


def _check_words(what: str, given: Sequence[str], allowed: Sequence[str]) -> None:
    for word in given:
        if word not in allowed:
            raise ProfileError(f"There is no {what} called {word!r}. Allowed: {', '.join(allowed)}.")


def _check_percent(*percents: Decimal) -> None:
    for percent in percents:
        if not isinstance(percent, Decimal):
            raise TypeError("percents are Decimal")
        if not percent.is_finite() or not 0 <= percent <= 100:
            raise ProfileError("A percent is between 0 and 100.")
