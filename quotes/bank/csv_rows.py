"""Reads a bank's CSV: header found and understood, every row read or named with its fault, nothing half taken in."""

import csv
import io
from collections.abc import Sequence
from decimal import Decimal

from quotes.bank import csv_words as words
from quotes.bank.csv_columns import Layout, is_enough, recognise
from quotes.bank.movements import (
    ACCOUNT,
    BANK_REF,
    LARGEST_FILE,
    MOST_MOVEMENTS,
    NAME,
    REFERENCE,
    TEXT,
    Movement,
    Statement,
    Unreadable,
    clean,
)

DELIMITERS = ";,\t|"
HEADER_WITHIN = 40
MOST_FAULTS = 20
Row = tuple[int, Sequence[str]]


class NeedsLayout(ValueError):
    """A person must say what the columns are, or how days or amounts are written. `layout` is what is known so far."""

    def __init__(
        self, sentence: str, header: Sequence[str], sample: Sequence[Sequence[str]], layout: Layout
    ) -> None:
        super().__init__(sentence)
        self.sentence, self.header, self.sample, self.layout = sentence, header, sample, layout


def read(data: bytes, *, currency: str, layout: Layout | None = None) -> Statement:
    """The statement of a CSV file. Raises NeedsLayout where a person must help, Unreadable where rows have faults."""
    if len(data) > LARGEST_FILE:
        raise Unreadable(
            "This file is over 10 MB. A statement of one month is far smaller; nothing was taken in."
        )
    layout = layout or Layout()
    rows, columns = _table(_decoded(data), layout)
    header, body = rows[0][1], rows[1:]
    if not is_enough(columns):
        raise NeedsLayout(
            "Say which column holds the day and which the amount.", header, _sample(body), Layout(columns)
        )
    if not body:
        raise Unreadable("The file has a heading and no rows.")
    if len(body) > MOST_MOVEMENTS:
        raise Unreadable(f"The file has over {MOST_MOVEMENTS} rows. Ask the bank for shorter statements.")
    layout = _styled(body, Layout(columns, layout.decimal, layout.order), currency, header)
    return _statement(body, layout, currency)


def _decoded(data: bytes) -> str:
    if b"\x00" in data[:4000] and data[:2] not in (b"\xff\xfe", b"\xfe\xff"):
        raise Unreadable("This file is no text. Ask the bank for CSV or camt.053.")
    ways = ["utf-16"] if data[:2] in (b"\xff\xfe", b"\xfe\xff") else ["utf-8-sig", "cp1252", "latin-1"]
    for way in ways:
        try:
            return data.decode(way)
        except UnicodeDecodeError:
            continue
    raise Unreadable("This file is no text. Ask the bank for CSV or camt.053.")


def _table(text: str, layout: Layout) -> tuple[list[Row], dict[str, int]]:
    """The rows from the header on, and the columns as known. Banks often write a few lines of their own before it."""
    best: tuple[int, list[Row], dict[str, int]] | None = None
    for delimiter in DELIMITERS:
        rows = _rows(text, delimiter)
        if not rows:
            continue
        for place, (_, cells) in enumerate(rows[:HEADER_WITHIN]):
            known = recognise(cells)
            score = len(known) + (100 if is_enough(known) else 0)
            if known and (best is None or score > best[0]):
                best = (score, rows[place:], known)
        widest = max(range(min(len(rows), HEADER_WITHIN)), key=lambda place: len(rows[place][1]))
        if best is None and len(rows[widest][1]) > 1:
            best = (0, rows[widest:], {})
    if best is None:
        raise Unreadable(
            "The file holds no table: no line of it has two columns. Ask the bank for CSV or camt.053."
        )
    return best[1], dict(layout.columns) or best[2]


def _rows(text: str, delimiter: str) -> list[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        found = [(reader.line_num, [words.unquoted(cell) for cell in cells]) for cells in reader]
    except csv.Error:
        raise Unreadable(f"Row {reader.line_num} is far too long or broken.") from None
    return [row for row in found if any(row[1])]


def _sample(body: Sequence[Row]) -> list[Sequence[str]]:
    return [[cell[:40] for cell in cells] for _, cells in body[:3]]


def _cell(cells: Sequence[str], layout: Layout, meaning: str) -> str:
    place = layout.columns.get(meaning)
    return cells[place] if place is not None and place < len(cells) else ""


def _styled(body: Sequence[Row], layout: Layout, currency: str, header: Sequence[str]) -> Layout:
    """The layout with its styles, read off all cells together; asked for where they leave it open."""
    amounts = [
        _cell(cells, layout, name) for _, cells in body for name in ("amount", "came", "went", "balance")
    ]
    decimal = layout.decimal or words.decimal_sign(amounts, currency)
    if decimal is None:
        raise NeedsLayout(
            "Say which sign stands before the cents: 1,234 could be two different sums.",
            header,
            _sample(body),
            layout,
        )
    order = layout.order or words.day_order([_cell(cells, layout, "day") for _, cells in body])
    if order is None:
        raise NeedsLayout(
            "Say how days are written: 3/4 could be in March or in April.",
            header,
            _sample(body),
            Layout(layout.columns, decimal, layout.order),
        )
    return Layout(layout.columns, decimal, order)


def _statement(body: Sequence[Row], layout: Layout, currency: str) -> Statement:
    movements: list[Movement] = []
    balances: list[Decimal | None] = []
    faults: list[str] = []
    for number, cells in body:
        try:
            movement = _movement(cells, layout, currency)
        except Unreadable as fault:
            faults.append(f"Row {number}: {fault}")
            continue
        if movement is not None:
            movements.append(movement)
            balances.append(words.amount_of(_cell(cells, layout, "balance"), layout.decimal, currency))
    if faults:
        more = [f"And {len(faults) - MOST_FAULTS} rows more."] if len(faults) > MOST_FAULTS else []
        raise Unreadable("Nothing was taken in.", *faults[:MOST_FAULTS], *more)
    if not movements:
        raise Unreadable("No row of the file holds a day and an amount.")
    opening, closing, notes = _proof(movements, balances)
    accounts = {said for _, cells in body if (said := clean(_cell(cells, layout, "account"), ACCOUNT))}
    return Statement(
        form="csv",
        account=accounts.pop() if len(accounts) == 1 else "",
        ident="",
        currency=currency,
        opening=opening,
        closing=closing,
        movements=tuple(movements),
        notes=notes,
    )


def _movement(cells: Sequence[str], layout: Layout, currency: str) -> Movement | None:
    """None for a row that names neither day nor amount, such as a sum at the end. Raises Unreadable."""
    said_day = _cell(cells, layout, "day")
    if not said_day and not any(_cell(cells, layout, name) for name in ("amount", "came", "went")):
        return None
    for meaning in ("name", "text", "reference", "bank_ref"):
        if words.is_formula(cell := _cell(cells, layout, meaning)):
            raise Unreadable(f"{cell[:30]!r} is a formula, not text. A bank sends none; look at the file.")
    said = _cell(cells, layout, "currency").upper()
    if said and said != currency:
        raise Unreadable(f"it is in {said[:10]}, and this shop's money is {currency}.")
    day = words.day_of(said_day, layout.order)
    if day is None:
        raise Unreadable(f"{said_day[:30]!r} is no day." if said_day else "the day is missing.")
    amount = _amount(cells, layout, currency)
    if not amount:
        return None
    return Movement(
        day=day,
        amount=amount,
        name=clean(_cell(cells, layout, "name"), NAME),
        reference=clean(_cell(cells, layout, "reference"), REFERENCE),
        text=clean(_cell(cells, layout, "text"), TEXT),
        bank_ref=clean(_cell(cells, layout, "bank_ref"), BANK_REF),
    )


def _amount(cells: Sequence[str], layout: Layout, currency: str) -> Decimal:
    if "amount" in layout.columns:
        amount = _one(_cell(cells, layout, "amount"), layout, currency)
        side = _cell(cells, layout, "side")
        if side and (sign := words.side_of(side)) is not None:
            return abs(amount) * sign
        if side:
            raise Unreadable(f"{side[:20]!r} says neither in nor out.")
        return amount
    came, went = _cell(cells, layout, "came"), _cell(cells, layout, "went")
    if not came and not went:
        raise Unreadable("the amount is missing.")
    # Some banks write what went with a minus, others without: the column has said it already.
    money_in = _one(came, layout, currency) if came else Decimal(0)
    return money_in - (abs(_one(went, layout, currency)) if went else Decimal(0))


def _one(cell: str, layout: Layout, currency: str) -> Decimal:
    amount = words.amount_of(cell, layout.decimal, currency)
    if amount is None:
        raise Unreadable(f"{cell[:30]!r} is no amount in {currency}." if cell else "the amount is missing.")
    return amount


def _proof(
    movements: Sequence[Movement], balances: Sequence[Decimal | None]
) -> tuple[Decimal | None, Decimal | None, tuple[str, ...]]:
    """Opening and closing where a column of balances follows the amounts, oldest first or newest first."""
    said = [balance for balance in balances if balance is not None]
    if not said:
        return None, None, ("The file says no balances, so it cannot prove that no movement is missing.",)
    if len(said) == len(movements):
        amounts = [movement.amount for movement in movements]
        if all(said[n] == said[n - 1] + amounts[n] for n in range(1, len(said))):
            return said[0] - amounts[0], said[-1], ()
        if all(said[n - 1] == said[n] + amounts[n - 1] for n in range(1, len(said))):
            return said[-1] - amounts[-1], said[0], ()
    return None, None, ("The balances of the file do not follow its amounts. A movement may be missing.",)
