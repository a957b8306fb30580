"""What a cell of a bank's CSV means: days, amounts, and cells that a spreadsheet would run.

A style (which sign is the decimal one, whether the day or the month comes first) is a matter of the whole file:
it is read off the cells that leave no doubt, and asked for where none does.
"""

import datetime as dt
import re
from collections.abc import Iterable
from decimal import Decimal

from intake.money import minor_units

POINT, COMMA = ".", ","
YEAR_FIRST, DAY_FIRST, MONTH_FIRST = "ymd", "dmy", "mdy"
_MONTH_NAMES = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTHS = {name: number for number, name in enumerate(_MONTH_NAMES, start=1)}
_SIDES = {
    "+": 1, "c": 1, "cr": 1, "crdt": 1, "credit": 1, "in": 1, "h": 1, "haben": 1,
    "-": -1, "d": -1, "dr": -1, "dbit": -1, "debit": -1, "out": -1, "s": -1, "soll": -1,
}  # fmt: skip
_NUMBER = re.compile(r"[0-9]+([.,' ][0-9]+)*")
_FORMULA = re.compile(r"=|[+\-@|]\s*[A-Za-z_.]+\s*[(!|]|@|\t")


def is_formula(cell: str) -> bool:
    """True for a cell that a spreadsheet would work out or run when it is opened."""
    return _FORMULA.match(cell) is not None


def unquoted(cell: str) -> str:
    """The text of a cell that was written as ="0012" so that a spreadsheet leaves it alone."""
    held = re.fullmatch(r'="([^"]*)"', cell.strip())
    return held[1] if held else cell.strip()


def side_of(cell: str) -> int | None:
    """1 for money that came, -1 for money that went, None for a word not known here."""
    return _SIDES.get(cell.strip().casefold())


def split_amount(cell: str) -> tuple[int, str] | None:
    """Sign and digits of an amount cell such as '-1.200,50', '(12.00)', '12.50 DR', '+3'; None where it is none."""
    text = (
        cell.strip()
        .replace("\u2212", "-")
        .replace("\u00a0", " ")
        .replace("\u202f", " ")
        .replace("\u2019", "'")
    )
    text = re.sub(r"^[A-Z]{3}\s+|\s[A-Z]{3}$|[€$£¥]", "", text).strip()
    sign = 1
    if text.startswith("(") and text.endswith(")"):
        sign, text = -1, text[1:-1].strip()
    if tail := re.search(r"(?:CR|DR|[+\-CDHS])$", text):
        sign, text = sign * (side_of(tail[0]) or 1), text[: tail.start()].rstrip()
    if text[:1] in ("+", "-"):
        sign, text = (-sign if text[0] == "-" else sign), text[1:].strip()
    return (sign, text) if _NUMBER.fullmatch(text) else None


def decimal_sign(cells: Iterable[str], currency: str) -> str | None:
    """The decimal sign that all cells agree on; None where none leaves no doubt.

    A sign followed by exactly three digits could group thousands; any other could not.
    """
    sure: set[str] = set()
    grouping: set[str] = set()
    unclear = False
    for cell in cells:
        parts = split_amount(cell)
        signs = [sign for sign in parts[1] if sign in ".,"] if parts else []
        if parts is None or not signs:
            continue
        last, tail = signs[-1], len(parts[1].rpartition(signs[-1])[2])
        if signs.count(last) > 1:
            grouping.add(last)
        elif len(signs) > 1 or tail != 3 or minor_units(currency) == 3:
            sure.add(last)
        elif minor_units(currency) == 0:
            grouping.add(last)
        else:
            unclear = True
    if not sure:
        sure = {COMMA if sign == POINT else POINT for sign in grouping}
    if not sure and not unclear:
        return POINT
    return sure.pop() if len(sure) == 1 else None


def amount_of(cell: str, decimal: str, currency: str) -> Decimal | None:
    """The amount with its sign at most at the currency's digits; None where the cell holds none such."""
    parts = split_amount(cell)
    if parts is None:
        return None
    sign, text = parts
    whole, _, cents = text.partition(decimal)
    groups = re.split(r"[.,' ]", whole)
    grouped_well = len(groups) == 1 or (
        len(groups[0]) <= 3 and all(len(group) == 3 for group in groups[1:]) and decimal not in groups
    )
    cents = cents.rstrip("0") if len(cents) > minor_units(currency) else cents
    if not grouped_well or not re.fullmatch("[0-9]*", cents) or len(cents) > minor_units(currency):
        return None
    if len("".join(groups)) > 12:
        return None
    return sign * Decimal(f"{''.join(groups)}.{cents or '0'}").quantize(
        Decimal(1).scaleb(-minor_units(currency))
    )


def day_order(cells: Iterable[str]) -> str | None:
    """The order of year, month and day that the cells allow; None where 3/4 could be March or April throughout."""
    orders, unclear = {DAY_FIRST, MONTH_FIRST}, False
    for cell in cells:
        numbers = _numbers(cell)
        if numbers is None or len(numbers[0]) == 4:
            continue
        if "." in cell:
            return DAY_FIRST
        first, second = int(numbers[0]), int(numbers[1])
        orders -= {MONTH_FIRST} if first > 12 else set()
        orders -= {DAY_FIRST} if second > 12 else set()
        unclear = unclear or first != second
    if len(orders) == 1:
        return orders.pop()
    return None if unclear else YEAR_FIRST


def _numbers(cell: str) -> tuple[str, str, str] | None:
    found = re.match(r"([0-9]{1,4})[./-]([0-9]{1,2})[./-]([0-9]{1,4})(?![0-9])", cell.strip())
    return (found[1], found[2], found[3]) if found else None


def day_of(cell: str, order: str) -> dt.date | None:
    """The day a cell names: 2026-02-05, 20260205, 5.2.2026, 05/02/26, '5 Feb 2026'; a time after it is left out."""
    text = cell.strip()
    try:
        if packed := re.fullmatch(r"(20[0-9]{2})([01][0-9])([0-3][0-9])", text):
            return dt.date(int(packed[1]), int(packed[2]), int(packed[3]))
        if named := re.match(r"([0-9]{1,2})[ -]([A-Za-z]{3})[a-z]*[ -]([0-9]{4}|[0-9]{2})\b", text):
            return dt.date(_year(named[3]), _MONTHS[named[2].lower()], int(named[1]))
        numbers = _numbers(text)
        if numbers is None:
            return None
        if len(numbers[0]) == 4:
            return dt.date(int(numbers[0]), int(numbers[1]), int(numbers[2]))
        first, second = int(numbers[0]), int(numbers[1])
        month, day = (first, second) if order == MONTH_FIRST else (second, first)
        return dt.date(_year(numbers[2]), month, day)
    except (ValueError, KeyError):
        return None


def _year(text: str) -> int:
    if len(text) not in (2, 4):
        raise ValueError("a year has two digits or four")
    return int(text) if len(text) == 4 else 2000 + int(text)
