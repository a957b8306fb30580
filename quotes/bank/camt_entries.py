"""One entry of a camt.053 statement as movements. Source: see `quotes.bank.camt`."""

import datetime as dt
import re
from decimal import Decimal

from lxml import etree

from intake.money import minor_units, quantize
from quotes.bank.movements import BANK_REF, NAME, REFERENCE, TEXT, Movement, Unreadable, clean

AMOUNT = re.compile(r"[0-9]{1,13}(\.[0-9]{0,5})?|\.[0-9]{1,5}")
# What banks write where the payer gave no name of their own for the payment (ISO 20022 payments, common practice).
NO_END_TO_END = {"NOTPROVIDED", "NOT PROVIDED", "NONREF", ""}


def text_of(node: etree._Element, way: str) -> str:
    """The text at a way such as 'Acct/Id/IBAN', in whatever version's namespace; empty where there is none."""
    found = node.find("/".join(f"{{*}}{step}" for step in way.split("/")))
    return (found.text or "").strip() if found is not None else ""


def signed(node: etree._Element, currency: str, what: str) -> Decimal:
    """`Amt` with the sign that `CdtDbtInd` gives: credit above nought. Raises Unreadable."""
    amount = node.find("{*}Amt")
    if amount is None:
        raise Unreadable(f"{what} has no amount.")
    value = plain(amount, currency, what)
    side = text_of(node, "CdtDbtInd")
    if side not in ("CRDT", "DBIT"):
        raise Unreadable(f"{what} does not say whether money came or went.")
    return value if side == "CRDT" else -value


def plain(amount: etree._Element, currency: str, what: str) -> Decimal:
    """The amount of an element with its currency. Raises Unreadable for another currency or no amount."""
    typed = (amount.text or "").strip()
    if not AMOUNT.fullmatch(typed):
        raise Unreadable(f"{what}: {typed[:30]!r} is no amount.")
    said = amount.get("Ccy", currency)
    if said != currency:
        raise Unreadable(f"{what} is in {said[:10]}, the account in {currency}.")
    value = Decimal(typed)
    if quantize(value, currency) != value:
        raise Unreadable(
            f"{what}: {currency} has {minor_units(currency)} digits after the point, {typed} has more."
        )
    return quantize(value, currency)


def movements_of(entry: etree._Element, currency: str) -> list[Movement]:
    """The entry itself, or its transactions where it holds several that add up to it. Raises Unreadable."""
    amount, day = signed(entry, currency, "the amount"), _day(entry)
    parts = entry.findall("{*}NtryDtls/{*}TxDtls")
    if len(parts) > 1 and (split := _split(entry, parts, amount, currency)):
        return [_movement(entry, [part], share, day) for part, share in zip(parts, split, strict=True)]
    return [_movement(entry, parts, amount, day)] if amount else []


def _split(
    entry: etree._Element, parts: list[etree._Element], amount: Decimal, currency: str
) -> list[Decimal] | None:
    """The share of each transaction; None where one does not say it or they do not come to the whole."""
    shares = []
    for part in parts:
        said = part.find("{*}Amt")
        if said is None:
            said = part.find("{*}AmtDtls/{*}TxAmt/{*}Amt")
        if said is None or said.get("Ccy", currency) != currency:
            return None
        side = text_of(part, "CdtDbtInd") or text_of(entry, "CdtDbtInd")
        share = plain(said, currency, "a transaction")
        shares.append(share if side == "CRDT" else -share)
    return shares if sum(shares, Decimal(0)) == amount and all(shares) else None


def _movement(entry: etree._Element, parts: list[etree._Element], amount: Decimal, day: dt.date) -> Movement:
    only = parts[0] if len(parts) == 1 else None
    references = [found for part in parts if (found := text_of(part, "RmtInf/Strd/CdtrRefInf/Ref"))]
    bank_ref = (text_of(only, "Refs/AcctSvcrRef") if only is not None else "") or text_of(
        entry, "AcctSvcrRef"
    )
    return Movement(
        day=day,
        amount=amount,
        name=clean(_name(only, came=amount > 0) if only is not None else "", NAME),
        reference=clean(references[0] if len(references) == 1 else "", REFERENCE),
        text=clean(_text(entry, parts, references if len(references) > 1 else []), TEXT),
        bank_ref=clean(bank_ref, BANK_REF),
    )


def _name(part: etree._Element, *, came: bool) -> str:
    """Who paid, or who was paid; from version 08 on the name stands one step deeper."""
    roles = ("Dbtr", "UltmtDbtr", "Cdtr") if came else ("Cdtr", "UltmtCdtr", "Dbtr")
    ways = [f"RltdPties/{role}/{deeper}Nm" for role in roles for deeper in ("", "Pty/")]
    return next((found for way in ways if (found := text_of(part, way))), "")


def _text(entry: etree._Element, parts: list[etree._Element], references: list[str]) -> str:
    words = ["Reversal."] if text_of(entry, "RvslInd").lower() in ("true", "1") else []
    words += references
    for part in parts:
        words += [line.text.strip() for line in part.findall("{*}RmtInf/{*}Ustrd") if line.text]
        end_to_end = text_of(part, "Refs/EndToEndId")
        if end_to_end.upper() not in NO_END_TO_END and end_to_end not in " ".join(words):
            words.append(end_to_end)
        words.append(text_of(part, "AddtlTxInf"))
    return " ".join(word for word in [*words, text_of(entry, "AddtlNtryInf")] if word)


def _day(entry: etree._Element) -> dt.date:
    """The day it was booked; the value day where the bank leaves that out."""
    ways = ("BookgDt/Dt", "BookgDt/DtTm", "ValDt/Dt", "ValDt/DtTm")
    said = next((found for way in ways if (found := text_of(entry, way))), "")
    try:
        return dt.date.fromisoformat(said[:10])
    except ValueError:
        raise Unreadable(f"{said[:30]!r} is no day." if said else "it has no day.") from None
