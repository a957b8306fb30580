"""Codes and numbers an electronic invoice may hold: countries, units, tax numbers, bank accounts.

Sources: ISO 3166-1 through the address data of this house; units from UN/ECE Recommendation 20 (those a bench bills in);
VAT identifiers by python-stdnum and BR-CO-09; IBAN by ISO 13616 (mod 97).
"""

import re
from dataclasses import dataclass

from stdnum.eu import vat as eu_vat
from stdnum.iso7064 import mod_97_10

from intake.addresses import countries
from intake.money import MINOR_UNITS
from quotes.einvoice.facts import Party

# In the address data and not in ISO 3166-1: Ascension, Tristan da Cunha, Kosovo and the mark for 'unknown'.
_NOT_ISO = {"AC", "TA", "XK", "ZZ"}
COUNTRIES = frozenset(code for code, _ in countries()) - _NOT_ISO

# The lev left ISO 4217 when Bulgaria took the euro on 1 January 2026; the rules' code list no longer holds it.
CURRENCIES = frozenset(MINOR_UNITS) - {"BGN"}

# one, piece, hour, minute, day, metre, gram, kilogram
UNITS = frozenset({"C62", "H87", "HUR", "MIN", "DAY", "MTR", "GRM", "KGM"})

# Where the letters before a VAT identifier are not the country's code (EN 16931 BR-CO-09).
_PREFIXES = {"GR": {"EL", "GR"}, "GB": {"GB", "XI"}}
_SEPARATORS = re.compile(r"[\s.\-/]")


@dataclass(frozen=True)
class TaxId:
    """A tax number sorted: a VAT identifier (BT-31, BT-48), or any other registration (BT-32, BT-47); one is ''."""

    vat: str = ""
    other: str = ""


def tax_id(party: Party) -> TaxId:
    """The party's tax number as a VAT identifier when it begins with the party's own country, or is one of the EU's."""
    bare = _SEPARATORS.sub("", party.tax_number).upper()
    own = _PREFIXES.get(party.country, {party.country})
    if re.fullmatch("[A-Z]{2}[0-9A-Z+*]{2,13}", bare) and (bare[:2] in own or eu_vat.is_valid(bare)):
        return TaxId(vat=bare)
    return TaxId(other=party.tax_number.strip())


def iban(text: str) -> str:
    """The account as an IBAN without spaces, or '' when it is none."""
    bare = re.sub(r"\s", "", text).upper().removeprefix("IBAN").lstrip(":")
    if not re.fullmatch("[A-Z]{2}[0-9]{2}[0-9A-Z]{11,30}", bare):
        return ""
    # The registry's own examples hold bank codes that a stricter check refuses: mod 97 alone decides.
    return bare if mod_97_10.is_valid(bare[4:] + bare[:4]) else ""


def bic(text: str) -> str:
    """A BIC (ISO 9362) of 8 or 11 signs, or ''."""
    bare = re.sub(r"\s", "", text).upper()
    return bare if re.fullmatch("[A-Z]{6}[0-9A-Z]{2}([0-9A-Z]{3})?", bare) else ""
