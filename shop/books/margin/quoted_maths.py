"""Fixed quotes against what they took: looking and repairing by the minutes of the agreed quote. Pure.

Only orders that were mended, have left, and had minutes on the quote that was agreed: what nobody promised cannot be
overrun. Testing and talking stand apart, for no quote names them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from statistics import median

from shop.books.lines import Line


@dataclass(frozen=True)
class Quoted:
    """One remedy. Ratios are spent by quoted, over 1: slower. `middle`: the median of the orders' own ratios; `worst` is the
    highest of them and `worst_order` whose it was."""

    remedy: str
    n: int
    quoted: int
    spent: int
    middle: Fraction
    worst: Fraction
    worst_order: int

    @property
    def ratio(self) -> Fraction:
        """All spent by all quoted."""
        return Fraction(self.spent, self.quoted)


def spent_on(line: Line) -> int:
    """Minutes of looking and repairing."""
    return line.look + line.repair


def fixed_prices(lines: Iterable[Line]) -> list[Line]:
    """Lines that count here."""
    return [line for line in lines if line.mended and line.left and line.quoted_minutes > 0]


def by_remedy(lines: Iterable[Line]) -> list[Quoted]:
    """One row a remedy, by its name."""
    rows = sorted(fixed_prices(lines), key=lambda line: (line.remedy, line.order))
    return [_row(remedy, list(some)) for remedy, some in groupby(rows, key=lambda line: line.remedy)]


def overall(lines: Iterable[Line]) -> float | None:
    """All minutes spent by all quoted; None for no order."""
    rows = fixed_prices(lines)
    quoted = sum(line.quoted_minutes for line in rows)
    return sum(map(spent_on, rows)) / quoted if quoted else None


def _row(remedy: str, rows: list[Line]) -> Quoted:
    ratios = {line.order: Fraction(spent_on(line), line.quoted_minutes) for line in rows}
    worst = max(rows, key=lambda line: (ratios[line.order], -line.order))
    return Quoted(
        remedy=remedy,
        n=len(rows),
        quoted=sum(line.quoted_minutes for line in rows),
        spent=sum(spent_on(line) for line in rows),
        middle=Fraction(median(ratios.values())),
        worst=ratios[worst.order],
        worst_order=worst.order,
    )
