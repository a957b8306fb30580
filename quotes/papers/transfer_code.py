"""The square code on an invoice that fills a bank's transfer form: the payload of EPC069-12 version 2.1, field by field.

Source: EPC069-12 v2.1 (2012), seen in its title facts and second copies: twelve lines, at most 331 bytes, error level M, a
symbol of at most version 13. Version 002 may leave the BIC out inside the European Economic Area.
"""

from decimal import Decimal

import segno

from intake.money import MoneyError, quantize
from quotes.einvoice.identifiers import bic, iban

MOST_BYTES = 331
MOST_VERSION = 13
LEAST, MOST = Decimal("0.01"), Decimal("999999999.99")
LONGEST_NAME, LONGEST_REFERENCE, LONGEST_TEXT, LONGEST_PURPOSE, LONGEST_INFORMATION = 70, 35, 140, 4, 70
UTF_8 = "1"

# Countries of the European Economic Area by the letters of their accounts; elsewhere the BIC must be there.
EEA = frozenset({
    "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE",
    "IS", "IT", "LI", "LT", "LU", "LV", "MT", "NL", "NO", "PL", "PT", "RO", "SE", "SI", "SK",
})  # fmt: skip


class NoCode(ValueError):
    """These values make no transfer code; the message is a sentence."""


def transfer_payload(
    *,
    name: str,
    account: str,
    amount: Decimal,
    reference: str = "",
    text: str = "",
    bank: str = "",
    purpose: str = "",
    information: str = "",
) -> str:
    """The lines of the code, in UTF-8. `amount` in euro; `reference` by ISO 11649, or `text`, not both. Raises NoCode."""
    number, code = iban(account), bic(bank)
    if not number:
        raise NoCode("The account is no IBAN.")
    if bank.strip() and not code:
        raise NoCode("The bank's code is no BIC.")
    if not code and number[:2] not in EEA:
        raise NoCode("An account outside the European Economic Area needs its BIC.")
    if reference and text:
        raise NoCode("A transfer carries a reference or a text, not both.")
    lines = [
        "BCD",
        "002",
        UTF_8,
        "SCT",
        code,
        _within(name, LONGEST_NAME, "The shop's name", needed=True),
        number,
        f"EUR{_euro(amount)}",
        _within(purpose, LONGEST_PURPOSE, "The purpose"),
        _within(reference, LONGEST_REFERENCE, "The reference"),
        _within(text, LONGEST_TEXT, "The text"),
        _within(information, LONGEST_INFORMATION, "The information"),
    ]
    payload = "\n".join(lines).rstrip("\n")
    if len(payload.encode("utf-8")) > MOST_BYTES:
        raise NoCode(f"The code holds more than {MOST_BYTES} bytes.")
    return payload


def transfer_symbol(payload: str) -> segno.QRCode:
    """The QR symbol at error level M, not raised. Raises NoCode where it grows beyond version 13."""
    symbol = segno.make(payload, error="m", boost_error=False, micro=False, encoding="utf-8", eci=False)
    if int(symbol.version) > MOST_VERSION:
        raise NoCode("The code grew too large.")
    return symbol


def _within(value: str, longest: int, what: str, *, needed: bool = False) -> str:
    plain = " ".join(value.split())
    if needed and not plain:
        raise NoCode(f"{what} is missing.")
    if len(plain) > longest:
        raise NoCode(f"{what} is longer than {longest} signs.")
    return plain


def _euro(amount: Decimal) -> str:
    try:
        exact = quantize(amount, "EUR")
    except (TypeError, MoneyError) as fault:
        raise NoCode("The amount is no exact sum of money.") from fault
    if exact != amount:
        raise NoCode("The amount has more than two digits after the point.")
    if not LEAST <= exact <= MOST:
        raise NoCode(f"The amount must be from {LEAST} to {MOST}.")
    return f"{exact:f}"
