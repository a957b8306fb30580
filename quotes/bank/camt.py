"""Reads ISO 20022 camt.053 (bank to customer statement), versions 02 and later.

Source of names and meanings: ISO 20022 message definition of camt.053.001, from memory, compared with public field
tables of versions 02 and 08. What differs by version: the status is text until 06 and a code below it from 07; a party
stands below `Pty` from 08. Only booked entries count; an entry of several transactions is split where they add up to it.
"""

import re
from collections.abc import Iterator
from decimal import Decimal

from lxml import etree

from intake.money import MINOR_UNITS, quantize
from intake.wording import count
from quotes.bank.camt_entries import movements_of, signed, text_of
from quotes.bank.movements import (
    ACCOUNT,
    IDENT,
    LARGEST_FILE,
    MOST_MOVEMENTS,
    Movement,
    Statement,
    Unreadable,
    clean,
    must_add_up,
)

NAMESPACE = re.compile(r"urn:iso:std:iso:20022:tech:xsd:camt\.(\d{3})\.001\.(\d{2})")
OTHERS = {"052": "a report within the day", "054": "a notice of single movements"}
OPENING, CLOSING, BETWEEN = ("OPBD", "PRCD"), ("CLBD",), "ITBD"


def looks_like_xml(data: bytes) -> bool:
    """True where the file can only be meant as XML."""
    return data.removeprefix(b"\xef\xbb\xbf").lstrip()[:1] == b"<" or data[:4] in (
        b"<\x00?\x00", b"\xff\xfe<\x00", b"\xfe\xff\x00<",
    )  # fmt: skip


def read(data: bytes) -> list[Statement]:
    """Every statement of a file, proved: opening balance and entries come to the closing balance.

    Raises Unreadable with a sentence for whatever is wrong; then nothing of the file counts.
    """
    if len(data) > LARGEST_FILE:
        raise Unreadable(
            "This file is over 10 MB. A statement of one month is far smaller; nothing was taken in."
        )
    root = _root(data)
    statements = [
        _statement(node, number) for number, node in enumerate(root.findall("{*}BkToCstmrStmt/{*}Stmt"), 1)
    ]
    if not statements:
        raise Unreadable("The file holds no statement.")
    return statements


def _root(data: bytes) -> etree._Element:
    # No entities, no network, no document type: a statement needs none, and each is a way in for harm.
    parser = etree.XMLParser(
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        huge_tree=False,
        remove_comments=True,
        remove_pis=True,
    )
    try:
        root = etree.fromstring(data, parser)
    except (etree.XMLSyntaxError, ValueError) as fault:
        line = getattr(fault, "lineno", None)
        where = f" The fault is in line {line}." if line else ""
        raise Unreadable(
            f"The file is broken: it is no whole XML.{where} Fetch it from the bank again."
        ) from None
    if root.getroottree().docinfo.doctype:
        raise Unreadable(
            "The file brings a document type of its own. No bank sends that; nothing was taken in."
        )
    name = etree.QName(root)
    known = NAMESPACE.fullmatch(name.namespace or "")
    if name.localname != "Document" or known is None:
        raise Unreadable(
            "This XML is no bank statement. Ask the bank for camt.053 (ISO 20022), or take its CSV."
        )
    if known[1] != "053" or known[2] < "02":
        said = OTHERS.get(known[1], "another message")
        raise Unreadable(
            f"This is camt.{known[1]}, {said}. The statement of the day is camt.053; ask for that."
        )
    return root


def _statement(node: etree._Element, number: int) -> Statement:
    place = f"Statement {number}: "
    try:
        currency = _currency(node)
        opening, closing = _balances(node, currency)
        movements, waiting = _entries(node, currency)
    except Unreadable as fault:
        raise Unreadable(*(place + sentence for sentence in fault.sentences)) from None
    if len(movements) > MOST_MOVEMENTS:
        raise Unreadable(f"{place}over {MOST_MOVEMENTS} movements. Ask the bank for shorter statements.")
    must_add_up(opening, closing, movements, currency)
    notes = (
        (f"{count(waiting, 'entry', 'entries')} not booked yet by the bank: left out.",) if waiting else ()
    )
    return Statement(
        form="camt.053",
        account=clean(text_of(node, "Acct/Id/IBAN") or text_of(node, "Acct/Id/Othr/Id"), ACCOUNT),
        ident=clean(text_of(node, "Id"), IDENT),
        currency=currency,
        opening=opening,
        closing=closing,
        movements=tuple(movements),
        notes=notes,
    )


def _currency(node: etree._Element) -> str:
    amount = node.find("{*}Bal/{*}Amt")
    currency = text_of(node, "Acct/Ccy") or (amount.get("Ccy", "") if amount is not None else "")
    if currency not in MINOR_UNITS:
        raise Unreadable(f"the currency {currency[:10] or '(none)'} is not known here.")
    return currency


def _balances(node: etree._Element, currency: str) -> tuple[Decimal, Decimal]:
    """Opening and closing. The pages of one long statement say 'between' where the whole says start or end."""
    found: list[tuple[str, Decimal]] = []
    for row in node.findall("{*}Bal"):
        found.append((text_of(row, "Tp/CdOrPrtry/Cd"), signed(row, currency, "the balance")))
    between = [amount for kind, amount in found if kind == BETWEEN]
    opening = next((amount for kind, amount in found if kind in OPENING), None)
    closing = next((amount for kind, amount in found if kind in CLOSING), None)
    opening = between.pop(0) if opening is None and between else opening
    closing = between.pop() if closing is None and between else closing
    if opening is None or closing is None:
        lacking = "opening" if opening is None else "closing"
        raise Unreadable(
            f"the {lacking} balance is missing, so nobody can prove that no movement is. Nothing was taken in."
        )
    return quantize(opening, currency), quantize(closing, currency)


def _entries(node: etree._Element, currency: str) -> tuple[list[Movement], int]:
    movements: list[Movement] = []
    waiting = 0
    faults: list[str] = []
    for number, entry in enumerate(node.iterchildren("{*}Ntry"), 1):
        if (text_of(entry, "Sts/Cd") or text_of(entry, "Sts")) != "BOOK":
            waiting += 1
            continue
        try:
            movements += movements_of(entry, currency)
        except Unreadable as fault:
            faults.append(f"entry {number}, {fault}")
    if faults:
        raise Unreadable(*_shortened(faults))
    return movements, waiting


def _shortened(faults: list[str], most: int = 20) -> Iterator[str]:
    yield from faults[:most]
    if len(faults) > most:
        yield f"and {len(faults) - most} more."
