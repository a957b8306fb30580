"""Bank statements as files: ISO 20022 camt.053.001.08, and a plain CSV. The account is the demonstration's own.

Source: the ISO 20022 message definition of camt.053, from memory; only what a reader needs is written.
"""

import csv
import datetime as dt
import io
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from xml.etree import ElementTree as ET

ACCOUNT, CURRENCY = "0000 1234 5678", "USD"
NAMESPACE = "urn:iso:std:iso:20022:tech:xsd:camt.053.001.08"


@dataclass(frozen=True)
class Booked:
    """One movement: above nought it came in. `reference` is the payer's, by ISO 11649, or empty."""

    day: dt.date
    amount: Decimal
    name: str
    reference: str = ""
    text: str = ""


def as_csv(rows: Sequence[Booked]) -> bytes:
    """With a heading that the reader of statements knows."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["Booking date", "Amount", "Payer", "Reference", "Details", "Account"])
    for row in rows:
        writer.writerow([row.day.isoformat(), _cents(row.amount), row.name, row.reference, row.text, ACCOUNT])
    return out.getvalue().encode()


def as_camt(rows: Sequence[Booked], *, opening: Decimal) -> bytes:
    """One statement of one day; the closing balance is the opening one and all movements."""
    day = rows[0].day
    root = ET.Element("Document", xmlns=NAMESPACE)
    top = ET.SubElement(root, "BkToCstmrStmt")
    head = ET.SubElement(top, "GrpHdr")
    _add(head, "MsgId", f"ANYTOWN-{day:%Y%m%d}")
    _add(head, "CreDtTm", f"{day.isoformat()}T23:00:00Z")
    node = ET.SubElement(top, "Stmt")
    _add(node, "Id", day.isoformat())
    _add(node, "CreDtTm", f"{day.isoformat()}T23:00:00Z")
    _add(node, "Acct/Id/Othr/Id", ACCOUNT)
    closing = opening + sum((row.amount for row in rows), Decimal(0))
    for code, amount in (("OPBD", opening), ("CLBD", closing)):
        _balance(node, code, amount, day)
    for number, row in enumerate(rows, start=1):
        _entry(node, row, f"A-{day:%m%d}-{number:02d}")
    ET.indent(root)
    return bytes(ET.tostring(root, encoding="UTF-8", xml_declaration=True))


def _balance(node: ET.Element, code: str, amount: Decimal, day: dt.date) -> None:
    balance = ET.SubElement(node, "Bal")
    _add(balance, "Tp/CdOrPrtry/Cd", code)
    _amount(balance, amount)
    _add(balance, "Dt/Dt", day.isoformat())


def _entry(node: ET.Element, row: Booked, bank_ref: str) -> None:
    entry = ET.SubElement(node, "Ntry")
    _amount(entry, row.amount)
    _add(entry, "Sts/Cd", "BOOK")
    _add(entry, "BookgDt/Dt", row.day.isoformat())
    _add(entry, "AcctSvcrRef", bank_ref)
    detail = ET.SubElement(ET.SubElement(entry, "NtryDtls"), "TxDtls")
    _add(detail, f"RltdPties/{'Dbtr' if row.amount > 0 else 'Cdtr'}/Pty/Nm", row.name)
    words = ET.SubElement(detail, "RmtInf")
    if row.text:
        _add(words, "Ustrd", row.text)
    if row.reference:
        found = ET.SubElement(words, "Strd")
        _add(found, "CdtrRefInf/Tp/CdOrPrtry/Cd", "SCOR")
        _add(found[0], "Ref", row.reference)


def _amount(node: ET.Element, amount: Decimal) -> None:
    _add(node, "Amt", _cents(abs(amount))).set("Ccy", CURRENCY)
    _add(node, "CdtDbtInd", "CRDT" if amount >= 0 else "DBIT")


def _add(node: ET.Element, way: str, text: str) -> ET.Element:
    """New elements along a way of names; the last one holds the text."""
    for name in way.split("/"):
        node = ET.SubElement(node, name)
    node.text = text
    return node


def _cents(amount: Decimal) -> str:
    return f"{amount.quantize(Decimal('0.01'))}"
