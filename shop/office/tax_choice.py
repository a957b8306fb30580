"""Which tax profile the rates follow: chosen by name, kept whole in the rates so that each version keeps its own. Pure."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from quotes.profile_text import from_plain, to_plain
from quotes.tax_profiles import PROFILES
from quotes.tax_rules import Profile

BY_KIND, AS_IT_IS = "by_kind", "as_it_is"


def profile_choices(rules: Mapping[str, Any]) -> list[tuple[str, str]]:
    """The choices of the form; `rules` are those in force, offered as they are where they are none of the known."""
    choices = [(BY_KIND, "A percent by kind of line, as typed below")]
    choices += [(key, f"Rules of {made().name}") for key, made in PROFILES.items()]
    if known_as(rules)[0] == AS_IT_IS:
        choices.append((AS_IT_IS, f"{rules.get('name', 'Own rules')}, as they stand"))
    return choices


def known_as(rules: Mapping[str, Any]) -> tuple[str, Decimal | None]:
    """Which choice the rules in force are, and the percent in them."""
    if not rules:
        return BY_KIND, None
    percent = _percent_in(rules)
    for key in PROFILES:
        if _same(_made(key, percent, 1), rules):
            return key, percent
    return AS_IT_IS, None


def chosen_rules(key: str, percent: Decimal | None, *, now: Mapping[str, Any]) -> dict[str, Any]:
    """What the rates keep for a choice: nothing for percents by kind, else the profile in plain values.

    The rules in force stay as they are where nothing is different; other rules count their version on.
    """
    if key == BY_KIND:
        return {}
    if key == AS_IT_IS:
        return dict(now)
    version = now.get("version", 0) + 1 if isinstance(now.get("version", 0), int) else 1
    made = _made(key, percent, version)
    return dict(now) if _same(made, now) else made


def profiles_to_show(rules: Mapping[str, Any]) -> list[tuple[str, Profile]]:
    """Every profile that can be chosen, for reading; the one in force first."""
    known = [(key, made()) for key, made in PROFILES.items()]
    if not rules:
        return known
    key, _ = known_as(rules)
    return [(key, from_plain(rules)), *(pair for pair in known if pair[0] != key)]


def _made(key: str, percent: Decimal | None, version: int) -> dict[str, Any]:
    made: Any = PROFILES[key]
    # A rate of nought is no rate; noughts nobody typed would make equal rules look different.
    rate = Decimal(f"{percent.normalize():f}") if percent else None
    return to_plain(made(version=version) if rate is None else made(rate=rate, version=version))


def _percent_in(rules: Mapping[str, Any]) -> Decimal | None:
    for rule in rules.get("rules", ()):
        if rule.get("formula") in ("rate", "parts_share"):
            return Decimal(rule["percent"])
    return None


def _same(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    return {**one, "version": 0} == {**other, "version": 0}
