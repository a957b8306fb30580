"""A tax profile to and from plain JSON, so that it can be kept on a document, sent, and edited by hand."""

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from quotes.tax_rules import Profile, ProfileError, Rule

_RULE_KEYS = {"formula", "kinds", "places", "customers", "percent", "category", "reason", "share"}
_PROFILE_KEYS = {"name", "version", "home", "rules", "source"}
_MOST_RULES, _LONGEST = 200, 500


def to_plain(profile: Profile) -> dict[str, Any]:
    """The profile in dictionaries, lists, text and whole numbers only; percents as text."""
    return {
        "name": profile.name,
        "version": profile.version,
        "home": profile.home,
        "source": profile.source,
        "rules": [
            {
                "formula": rule.formula,
                "kinds": list(rule.kinds),
                "places": list(rule.places),
                "customers": list(rule.customers),
                "percent": str(rule.percent),
                "category": rule.category,
                "reason": rule.reason,
                "share": str(rule.share),
            }
            for rule in profile.rules
        ],
    }


def from_plain(value: object) -> Profile:
    """The profile that `to_plain` gave. Raises ProfileError with a sentence that names the rule that is wrong."""
    given = _mapping(value, "A tax profile", _PROFILE_KEYS)
    for key in ("name", "version", "home", "rules"):
        if key not in given:
            raise ProfileError(f"The tax profile has no {key}.")
    rules = given["rules"]
    if not isinstance(rules, list) or len(rules) > _MOST_RULES:
        raise ProfileError(f"The rules of a tax profile are a list of at most {_MOST_RULES}.")
    return Profile(
        _text(given["name"], "The name"),
        given["version"],
        _text(given["home"], "The home"),
        tuple(_rule(number, rule) for number, rule in enumerate(rules, start=1)),
        _text(given.get("source", ""), "The source"),
    )


def _rule(number: int, value: object) -> Rule:
    try:
        given = _mapping(value, "A rule", _RULE_KEYS)
        if "formula" not in given:
            raise ProfileError("It has no formula.")
        # The formula's own words are checked by Rule.
        return Rule(
            given["formula"],
            _words(given, "kinds"),
            _words(given, "places"),
            _words(given, "customers"),
            _percent(given.get("percent", "0")),
            _text(given.get("category", ""), "The category"),
            _text(given.get("reason", ""), "The reason"),
            _percent(given.get("share", "10")),
        )
    except ProfileError as fault:
        raise ProfileError(f"Rule {number}: {fault}") from None


def _mapping(value: object, what: str, keys: set[str]) -> Mapping[str, Any]:
    if not isinstance(value, Mapping):
        raise ProfileError(f"{what} is written as names with their values, in braces.")
    strange = sorted(str(key) for key in value if key not in keys)
    if strange:
        raise ProfileError(f"{what} has no field called {strange[0]!r}. Known: {', '.join(sorted(keys))}.")
    return value


def _words(given: Mapping[str, Any], key: str) -> tuple[str, ...]:
    words = given.get(key, ["*"])
    if not isinstance(words, list) or not all(isinstance(word, str) for word in words):
        raise ProfileError(f'Its {key} are a list of words, such as ["*"].')
    return tuple(words)


def _text(value: object, what: str) -> str:
    if not isinstance(value, str) or len(value) > _LONGEST:
        raise ProfileError(f"{what} is a text of at most {_LONGEST} characters.")
    return value


def _percent(value: object) -> Decimal:
    if isinstance(value, float):
        raise ProfileError('Write a percent as text, such as "8.25": numbers with a point are not exact.')
    if isinstance(value, bool) or not isinstance(value, int | str):
        raise ProfileError('A percent is written as text, such as "8.25".')
    try:
        return Decimal(value)
    except InvalidOperation:
        raise ProfileError(f"{value!r} is not a percent.") from None
