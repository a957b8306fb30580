"""The same monthly sums by a spreadsheet without a window, and by us: counts, margin and mean stay of the last sixty months."""

import datetime as dt
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import openpyxl

from shop.books.lines import DAY_SECONDS
from shop.models import BookLine

MONTHS = 60
COLUMNS = ("left_day", "arrived", "left", "billed", "parts", "spoiled", "post", "fees", "losses")
LONGEST_SECONDS = 600
# Days are counted as a spreadsheet counts them, from 30 December 1899.
SHEET_DAY = dt.date(1899, 12, 30).toordinal()
Lines = Sequence[tuple[int, ...]]


def office() -> str:
    """Where LibreOffice is; "" for nowhere."""
    return shutil.which("soffice") or ""


def lines() -> Lines:
    """What both add up: the columns of every line that is kept."""
    return list(BookLine.objects.order_by().values_list(*COLUMNS))


def months_back(last: dt.date) -> list[int]:
    """The last sixty months up to that of a day, as year times twelve and month."""
    newest = last.year * 12 + last.month - 1
    return list(range(newest - MONTHS + 1, newest + 1))


def our_months() -> list[tuple[int, int, float]]:
    """By month: orders that left, their cash margin in smallest units, their mean stay in days."""
    table = np.array(lines(), dtype=np.int64).reshape(-1, len(COLUMNS))
    days, arrived, left, billed, *costs = table.T
    newest = dt.date.fromordinal(int(days.max()))
    calendar = (
        (days - dt.date(1970, 1, 1).toordinal())
        .astype("datetime64[D]")
        .astype("datetime64[M]")
        .astype(np.int64)
    )
    place = calendar + 1970 * 12 - months_back(newest)[0]
    known = (place >= 0) & (place < MONTHS)
    place = place[known]
    margin = (billed - sum(costs))[known]
    stay = ((left - arrived) / DAY_SECONDS)[known]
    counts = np.bincount(place, minlength=MONTHS)
    margins = np.bincount(place, weights=margin, minlength=MONTHS).astype(np.int64)
    means = np.bincount(place, weights=stay, minlength=MONTHS) / np.maximum(counts, 1)
    return [(int(n), int(sum_), float(mean)) for n, sum_, mean in zip(counts, margins, means, strict=True)]


class Workbook:
    """A file with a row an order, three formulas in each and three a month, none of them calculated yet."""

    def __init__(self, rows: Lines) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="sheet-")
        self._rows = len(rows)
        self._path = Path(self._folder.name) / "book.xlsx"
        book = openpyxl.Workbook(write_only=True)
        self._orders(book.create_sheet("orders"), rows)
        self._months(book.create_sheet("months"), dt.date.fromordinal(max(row[0] for row in rows)))
        book.save(self._path)

    def _orders(self, sheet: openpyxl.worksheet._write_only.WriteOnlyWorksheet, rows: Lines) -> None:
        for number, (day, arrived, left, billed, *costs) in enumerate(rows, start=1):
            sheet.append(
                [
                    day - SHEET_DAY, arrived, left, billed, *costs, f"=D{number}-SUM(E{number}:I{number})",
                    f"=(C{number}-B{number})/{DAY_SECONDS}", f"=YEAR(A{number})*12+MONTH(A{number})-1",
                ]
            )  # fmt: skip

    def _months(self, sheet: openpyxl.worksheet._write_only.WriteOnlyWorksheet, newest: dt.date) -> None:
        last = self._rows
        for number, month in enumerate(months_back(newest), start=1):
            own = f"orders.$L$1:$L${last}".replace(".", "!")
            sheet.append(
                [
                    month, f"=COUNTIF({own},A{number})", f"=SUMIF({own},A{number},orders!$J$1:$J${last})",
                    f"=SUMIF({own},A{number},orders!$K$1:$K${last})/MAX(B{number},1)",
                ]
            )  # fmt: skip

    def calculate(self) -> Path:
        """Open, calculate, save, in a process of its own; returns the file."""
        out = Path(self._folder.name) / "out"
        subprocess.run(  # noqa: S603 -- the program found on the path, our own file, no shell
            [
                office(), "--headless", f"-env:UserInstallation=file://{self._folder.name}/profile", "--convert-to",
                "xlsx", "--outdir", str(out), str(self._path),
            ],
            check=True, capture_output=True, timeout=LONGEST_SECONDS,
        )  # fmt: skip
        return out / self._path.name

    def counted(self) -> list[int]:
        """The counts by month as the spreadsheet has them, to know that both do the same."""
        book = openpyxl.load_workbook(self.calculate(), read_only=True, data_only=True)
        return [int(row[1]) for row in book["months"].iter_rows(values_only=True)]
