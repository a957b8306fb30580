"""One cell: from what a spreadsheet holds to the value that is meant, and back to text that never evaluates. Pure.

Text that begins with a sign a spreadsheet calculates by is written with an apostrophe before it. Source: OWASP, CSV
Injection (from memory). The apostrophe is taken off when the list comes back in.
"""

import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from intake.money import MOST, MoneyError, minor_units, parse_amount, quantize
from intake.request_words import plain_text
from quotes.price_lists.columns import Column

GUARDED = "=+-@\t\r\n'＝＋－＠"
YES, NO = {"yes", "y", "true", "1"}, {"no", "n", "false", "0"}
MOST_LINES = 60


@dataclass(frozen=True)
class Wrong:
    """A cell that cannot be read at all; the sentence says why."""

    sentence: str


Cell = str | Decimal | bool | Wrong


class CellError(ValueError):
    """What stands in a cell is not what belongs there; the message is a sentence to show beside row and column."""


def guarded(text: str) -> str:
    """Text as it stands in a CSV file, safe to open in a spreadsheet."""
    return f"'{text}" if text[:1] and text[0] in GUARDED else text


def unguarded(text: str) -> str:
    """What `guarded` was given."""
    return text[1:] if text[:1] == "'" and text[1:2] and text[1] in GUARDED else text


def read_cell(cell: Cell, column: Column, currency: str) -> Any:
    """The value of a cell: text, list of lines, Decimal, whole number, yes or no; None for an empty number.

    Raises CellError with a sentence.
    """
    if isinstance(cell, Wrong):
        raise CellError(cell.sentence)
    if column.kind in ("amount", "cost", "percent"):
        return _decimal(cell, column, currency)
    text = cell_text(cell)
    if column.kind == "lines":
        return _lines(text, column)
    text = " ".join(text.split())
    if not text and column.filled:
        raise CellError("Write yes or no." if column.kind == "yes" else "This cannot be empty.")
    if column.kind == "whole":
        return _whole(text, column)
    if column.kind == "yes":
        return _yes(text)
    if column.kind == "choice":
        return _choice(text, column)
    if len(text) > column.longest:
        raise CellError(f"{column.longest} characters are the most; here are {len(text)}.")
    return text


def cell_text(cell: str | Decimal | bool) -> str:
    """A cell's content as text without control characters."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, Decimal):
        return f"{cell.normalize():f}" if cell else "0"
    return plain_text(cell).strip()


def value_text(value: Any, column: Column, currency: str) -> str:
    """A value as text that `read_cell` reads back as the same value."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return "\n".join(str(line) for line in value)
    if isinstance(value, Decimal):
        return f"{shown_number(value, column, currency):f}"
    return plain_text(str(value))


def shown_number(value: Decimal, column: Column, currency: str) -> Decimal:
    """A number at the digits it is written with: the currency's where they are enough."""
    if column.kind == "percent":
        return Decimal(f"{value.normalize():f}")
    exact = quantize(value, currency)
    if exact == value:
        return exact
    # Three digits after the point could be read as thousands; four cannot.
    return value.quantize(Decimal("0.0001")) if column.kind == "cost" else Decimal(f"{value.normalize():f}")


def _decimal(cell: str | Decimal | bool, column: Column, currency: str) -> Decimal | None:
    if isinstance(cell, bool):
        raise CellError("That is not a number.")
    text = cell_text(cell)
    if column.kind == "percent":
        text = text.removesuffix("%").strip()
    if not text:
        if column.filled:
            raise CellError("Type a number; 0 where there is none.")
        return None
    number = _exact(cell, text, column)
    if number is not None:
        return _within(number, column, currency)
    if column.kind == "percent":
        raise CellError("That is not a percent. Write it as 12 or 12.5.")
    try:
        return parse_amount(text, currency)
    except MoneyError as fault:
        raise CellError(str(fault)) from fault


def _exact(cell: str | Decimal | bool, text: str, column: Column) -> Decimal | None:
    """The number where it can be read in one way only; None leaves it to the reading of typed money."""
    if isinstance(cell, Decimal):
        return cell
    clear = {"cost": r"0[.,]\d{1,4}|\d{1,7}[.,](\d{1,2}|\d{4})", "percent": r"\d{1,3}([.,]\d{1,3})?"}
    if column.kind in clear and re.fullmatch(clear[column.kind], text, re.ASCII):
        return Decimal(text.replace(",", "."))
    return None


def _within(number: Decimal, column: Column, currency: str) -> Decimal:
    digits = {"cost": 4, "percent": 3}.get(column.kind, minor_units(currency))
    if not number.is_finite() or number < 0:
        raise CellError("A number here cannot be below nought.")
    if column.kind == "percent" and not 0 < number <= 100:
        raise CellError("A percent is more than nought and at most 100.")
    if number > MOST:
        raise CellError("An amount cannot be over 1,000,000.")
    try:
        short = number.quantize(Decimal(1).scaleb(-digits))
    except InvalidOperation as fault:
        raise CellError("That number is too long.") from fault
    if short != number:
        most = (
            f"{digits} digits after the point are the most"
            if digits
            else f"{currency} has no digits after the point"
        )
        raise CellError(f"{most}.")
    return short


def _whole(text: str, column: Column) -> int | None:
    if not text:
        return None
    if not re.fullmatch(r"\d{1,9}", text, re.ASCII):
        raise CellError("Write a whole number.")
    if not column.least <= int(text) <= column.most:
        raise CellError(f"The number lies between {column.least} and {column.most}.")
    return int(text)


def _yes(text: str) -> bool:
    word = text.casefold()
    if word not in YES | NO:
        raise CellError("Write yes or no.")
    return word in YES


def _choice(text: str, column: Column) -> str:
    meant = dict(column.choices).get(text.casefold())
    if meant is None:
        words = ", ".join(word for word, _ in column.choices if word)
        raise CellError(f"Write one of these{'' if column.filled else ', or leave it empty'}: {words}.")
    return meant


def _lines(text: str, column: Column) -> list[str]:
    lines = [line.strip() for line in text.split("\n") if line.strip()]
    if len(lines) > MOST_LINES:
        raise CellError(f"{MOST_LINES} lines are the most; here are {len(lines)}.")
    if any(len(line) > column.longest for line in lines):
        raise CellError(f"A line has {column.longest} characters at the most.")
    return lines
