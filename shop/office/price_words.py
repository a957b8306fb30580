"""Tax rules, factors and changes said in words. Pure: plain values in, words out."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from quotes.tax_rules import TAX_KINDS, Profile, Rule

KIND_NAMES = {
    "labour": "Labour", "part": "Parts", "post": "Post", "rush": "Rush", "fee": "Fees", "media": "Data media",
    "diagnosis": "Diagnosis", "deposit": "Deposits",
}  # fmt: skip
CUSTOMER_NAMES = {
    "consumer": "consumers", "trade": "trade customers", "certificate": "customers with a certificate",
}  # fmt: skip
PLACE_NAMES = {"EU": "the European Union", "abroad": "abroad"}
OUTCOMES = {
    "rate": "taxed at {percent} %",
    "zero": "taxed at 0 %",
    "exempt": "exempt",
    "reverse": "no tax here: the customer accounts for it",
    "export": "no tax: it leaves the country",
    "outside": "outside the tax of this place",
    "parts_share": "taxed at {percent} % where they stand apart on the bill or are over {share} % of the charge",
}


@dataclass(frozen=True)
class RuleWords:
    """One row of the table: for which lines, where to, for whom, and how it is taxed."""

    kinds: str
    places: str
    customers: str
    outcome: str
    reason: str


def tax_kinds(usual: str) -> list[tuple[str, str]]:
    """The choices of a tax kind; empty is the usual one."""
    return [("", f"as {usual}"), *((kind, KIND_NAMES[kind].lower()) for kind in TAX_KINDS)]


def rule_table(profile: Profile) -> list[RuleWords]:
    """A profile's rules in words, in their order: the first that fits is taken."""
    return [_rule(rule) for rule in profile.rules]


def less(factor: Decimal) -> str:
    """A factor on prices as people say it: 0.85 is '15 % less', 1 is 'the usual price', 1.1 is '10 % more'."""
    percent = percent_less(factor)
    if percent == 0:
        return "the usual price"
    return f"{abs(percent).normalize():f} % {'less' if percent > 0 else 'more'}"


def percent_less(factor: Decimal) -> Decimal:
    """0.85 gives 15; below nought where the factor is over 1."""
    return (1 - factor) * 100


def factor_less(percent: Decimal) -> Decimal:
    """15 gives 0.85."""
    return 1 - percent / 100


def said(value: Any) -> str:
    """A value of a row or of the rates as a table of changes says it."""
    if value is None or value == "" or value == [] or value == {}:
        return "empty"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    if isinstance(value, dict):
        if "rules" in value:
            return f"{value.get('name', 'rules')}, version {value.get('version', 1)}"
        return ", ".join(f"{KIND_NAMES.get(key, key)} {text}" for key, text in sorted(value.items()))
    if isinstance(value, list):
        return "; ".join(_entry(entry) for entry in value)
    return str(value)


def _entry(value: Any) -> str:
    if isinstance(value, list | tuple) and len(value) == 2:
        to, factor = value
        return f"{'any cost' if to is None else f'up to {to}'} x {factor}"
    return str(value)


def _rule(rule: Rule) -> RuleWords:
    outcome = OUTCOMES[rule.formula].format(
        percent=f"{rule.percent.normalize():f}", share=f"{rule.share.normalize():f}"
    )
    return RuleWords(
        _all_or(rule.kinds, KIND_NAMES, "everything"),
        _all_or(rule.places, PLACE_NAMES, "anywhere"),
        _all_or(rule.customers, CUSTOMER_NAMES, "everybody"),
        outcome,
        rule.reason,
    )


def _all_or(words: tuple[str, ...], names: dict[str, str], all_of_them: str) -> str:
    return all_of_them if "*" in words else ", ".join(names.get(word, word) for word in words)
