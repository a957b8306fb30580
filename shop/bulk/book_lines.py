"""Lines and sums of the books for the made orders, by the same functions that the real door uses."""

import datetime as dt
from collections.abc import Iterable

from intake.models import Order
from shop.books.day_sums import ADDED, DayKey, summed
from shop.books.house import house
from shop.books.keep import COLUMNS, move_sums
from shop.books.line_facts import gone, lines_of
from shop.books.lines import House
from shop.bulk.calendar import write_rows
from shop.models import BookDay, BookLine


class Keeper:
    """Orders come by the day they begin: the sums of a day are written once no further order can leave on it."""

    def __init__(self) -> None:
        self._house: House | None = None
        self._sums: dict[DayKey, list[int]] = {}

    def keep(self, orders: Iterable[int], *, before: dt.date | None) -> None:
        """Write the lines of those that have left, and the sums of the days before a day; None: of all days."""
        shop = self._house = self._house or house()
        lines = lines_of(Order.objects.filter(gone(), pk__in=list(orders)), house=shop, now=0)
        write_rows(BookLine, lines, COLUMNS)
        for key, amounts in summed(lines).items():
            row = self._sums.setdefault(key, [0] * len(ADDED))
            for place, amount in enumerate(amounts):
                row[place] += amount
        self._write(before)

    def _write(self, before: dt.date | None) -> None:
        done = {key: row for key, row in self._sums.items() if before is None or key.day < before.toordinal()}
        if not BookDay.objects.filter(day__in={key.day for key in done}).exists():
            names = [*DayKey._fields, *ADDED]
            write_rows(BookDay, [[*key, *row] for key, row in sorted(done.items())], names)
        else:
            move_sums(done)
        for key in done:
            del self._sums[key]
