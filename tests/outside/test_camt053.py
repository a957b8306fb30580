"""Bank statements by ISO 20022 camt.053.

Source of names and meanings: ISO 20022, message definition of camt.053.001 (bank to customer statement): elements from
memory, compared with public field tables of versions 02 and 08. The statements themselves are invented.
Creditor reference RF18539007547034: example of ISO 11649.
"""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from quotes.bank import camt
from quotes.bank.movements import LARGEST_FILE, Movement, Unreadable

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "bank"
OLD, NEW = (FOLDER / "version_02.xml").read_bytes(), (FOLDER / "version_08.xml").read_bytes()


def refused(data: bytes) -> str:
    with pytest.raises(Unreadable) as fault:
        camt.read(data)
    return str(fault.value)


def test_version_02_status_is_text_and_a_batch_is_split_by_its_transactions() -> None:
    (statement,) = camt.read(OLD)
    assert (statement.account, statement.ident, statement.currency) == (
        "ZZ68QMBK00000000000417", "2026-02-05", "USD",
    )  # fmt: skip
    assert (statement.opening, statement.closing) == (Decimal("1000.00"), Decimal("1214.30"))
    day = date(2026, 2, 5)
    assert statement.movements == (
        Movement(day, Decimal("112.32"), "Mara Ellwick", "RF18539007547034", "", "B-77001"),
        Movement(day, Decimal("80.00"), "Bertil Okané", "", "Repair INV-00012 thank you E2E-1", "B-77002-1"),
        Movement(day, Decimal("50.00"), "Stallmere Phones", "", "boards January", "B-77002-2"),
        Movement(day, Decimal("-28.02"), "Solder and Sons", "", "Flux", "B-77003"),
    )
    assert statement.notes == ("1 entry not booked yet by the bank: left out.",)


def test_version_08_party_and_status_stand_a_step_deeper_and_a_reversal_keeps_its_side() -> None:
    (statement,) = camt.read(NEW)
    assert statement.closing == Decimal("-0.70")
    assert [(row.amount, row.name, row.text) for row in statement.movements] == [
        (Decimal("-112.32"), "Mara Ellwick", "Reversal. Returned transfer"),
        (Decimal("-1100.00"), "Anytown Rents", ""),
        (Decimal("-2.68"), "", "Charges"),
    ]


@pytest.mark.parametrize("version", ["02", "03", "04", "06", "08", "13"])
def test_every_version_is_known_by_its_namespace(version: str) -> None:
    assert camt.read(OLD.replace(b"001.02", b"001." + version.encode()))


def test_two_statements_in_one_file_are_two() -> None:
    start, end = OLD.index(b"<Stmt>"), OLD.index(b"</Stmt>") + 7
    assert len(camt.read(OLD[:end] + OLD[start:end] + OLD[end:])) == 2


def test_batch_whose_parts_do_not_come_to_the_whole_stays_one_movement() -> None:
    (statement,) = camt.read(OLD.replace(b">80.00<", b">80.01<"))
    assert [row.amount for row in statement.movements] == [
        Decimal("112.32"), Decimal("130.00"), Decimal("-28.02"),
    ]  # fmt: skip
    assert "INV-00012" in statement.movements[1].text


def test_pages_of_a_long_statement_carry_balances_between() -> None:
    page = OLD.replace(b"<Cd>CLBD</Cd>", b"<Cd>ITBD</Cd>")
    assert camt.read(page)[0].closing == Decimal("1214.30")


@pytest.mark.parametrize(
    ("before", "after", "sentence"),
    [
        (b">1214.30<", b">1214.31<", "does not add up"),
        (b"<Cd>CLBD</Cd>", b"<Cd>CLAV</Cd>", "closing balance is missing"),
        (b"<Cd>OPBD</Cd>", b"<Cd>OPAV</Cd>", "opening balance is missing"),
        (b'Ccy="USD">112.32', b'Ccy="EUR">112.32', "entry 1, the amount is in EUR, the account in USD"),
        (b">112.32<", b">112.321<", "2 digits after the point"),
        (b">112.32<", b">1e2<", "'1e2' is no amount"),
        (b">112.32<", b"><", "is no amount"),
        (b"<Dt>2026-02-05</Dt></BookgDt><ValDt><Dt>2026-02-05</Dt></ValDt>", b"</BookgDt>", "entry 1, it has no day"),
        (b"<BookgDt><Dt>2026-02-05<", b"<BookgDt><Dt>2026-02-31<", "is no day"),
        (b">CRDT</CdtDbtInd><Sts>", b">BOTH</CdtDbtInd><Sts>", "whether money came or went"),
        (b"<Ccy>USD</Ccy>", b"<Ccy>QQQ</Ccy>", "currency QQQ is not known"),
        (b"camt.053.001", b"camt.052.001", "a report within the day"),
        (b"camt.053.001", b"camt.054.001", "a notice of single movements"),
        (b"camt.053.001", b"pain.001.001", "no bank statement"),
        (b"</Stmt>", b"", "no whole XML"),
    ],
)  # fmt: skip
def test_broken_statement_is_refused_whole_with_a_sentence(
    before: bytes, after: bytes, sentence: str
) -> None:
    assert before in OLD
    assert sentence in refused(OLD.replace(before, after))


def test_statement_without_any_balance_or_any_statement_is_refused() -> None:
    start, end = OLD.index(b"<Stmt>"), OLD.index(b"</Stmt>") + 7
    assert "holds no statement" in refused(OLD[:start] + OLD[end:])


BOMB = b"""<?xml version="1.0"?><!DOCTYPE Document [<!ENTITY a "aaaaaaaaaa">%s]>
<Document xmlns="urn:iso:std:iso:20022:tech:xsd:camt.053.001.02"><BkToCstmrStmt>&j;</BkToCstmrStmt></Document>"""


@pytest.mark.parametrize(
    "data",
    [
        BOMB % b"".join(b'<!ENTITY %c "%s">' % (98 + n, b"&%c;" % (97 + n) * 10) for n in range(9)),
        OLD.replace(b"<Document ", b'<!DOCTYPE Document SYSTEM "http://127.0.0.1:9/x.dtd"><Document ', 1),
        OLD.replace(b"<Document ", b'<!DOCTYPE Document [<!ENTITY x SYSTEM "file:///etc/hostname">]><Document ', 1).replace(
            b"Mara Ellwick", b"&x;"
        ),
    ],
    ids=["laughs", "outside document type", "outside entity"],
)  # fmt: skip
def test_entities_and_document_types_are_not_taken(data: bytes) -> None:
    assert "document type" in refused(data) or "no whole XML" in refused(data)


def test_far_too_deep_and_far_too_large_are_refused() -> None:
    deep = b"<x>" * 5000 + b"</x>" * 5000
    assert "no whole XML" in refused(OLD.replace(b"<Stmt>", deep + b"<Stmt>"))
    assert "over 10 MB" in refused(b"<" + b" " * LARGEST_FILE)


def test_looks_like_xml_in_any_coding_and_csv_does_not() -> None:
    assert camt.looks_like_xml(OLD)
    assert camt.looks_like_xml("\ufeff<?xml?>".encode())
    assert camt.looks_like_xml("\ufeff<?xml?>".encode("utf-16-le"))
    assert not camt.looks_like_xml(b"Date,Amount\n")
