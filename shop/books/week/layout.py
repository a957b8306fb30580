"""The weekly page in words: each figure of this week beside the week before and what is usual. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from shop.books.figure_words import NOTHING, Say
from shop.books.figures import Figure, Table
from shop.books.margin.lost_maths import KINDS
from shop.books.week.choice import Row, Section
from shop.books.week.shapes import Told

USUAL_WEEKS = 13
NONE = "\u2013"
NOT_YET = "not yet"
# A cell with nothing to say, where an empty one would say that something was not said.
BLANK = " "
# Said in the name, so that the cells stay short.
UNITS = {
    "days": "days",
    "hours": "hours",
    "minutes": "minutes",
    "per 100": "in 100",
    "days a week": "days a week",
}

ByKey = Mapping[str, Figure]


@dataclass(frozen=True)
class Cell:
    """`pale`: it rests on too few to lean on."""

    text: str
    pale: bool = False


@dataclass(frozen=True)
class ShownRow:
    """A figure with its three cells; of what is of now alone, only the first. `note` numbers its definition."""

    key: str
    name: str
    cells: tuple[Cell, ...]
    means: str
    rests: str
    interval: str
    open_orders: str
    behind: bool
    note: int


def rows_of(
    section: Section, found: tuple[ByKey, ByKey, ByKey], say: Say, *, first_note: int
) -> list[ShownRow]:
    """The rows of a section: `found` are the figures of this week, the week before, and of USUAL_WEEKS weeks together. A
    figure that is not there is left out."""
    week = found[0]
    rows = [row for row in section.rows if row.key in week]
    return [_row(row, found, say, note) for note, row in enumerate(rows, start=first_note)]


def _row(row: Row, found: tuple[ByKey, ByKey, ByKey], say: Say, note: int) -> ShownRow:
    figure = found[0][row.key]
    cells = [cell(figure, say)]
    if figure.value is None and (figure.n or row.kind == "now"):
        cells = [Cell(NOT_YET if figure.n else NOTHING)]
    if row.kind != "now":
        before, usual = found[1].get(row.key), found[2].get(row.key)
        if usual is not None and row.kind == "flow":
            usual = a_week(usual)
        cells += [cell(other, say) if other else Cell(NONE) for other in (before, usual)]
    name, unit = row.name or figure.name, UNITS.get(figure.unit, "")
    return ShownRow(
        key=row.key,
        name=f"{name}, {unit}" if unit and unit not in name else name,
        cells=tuple(cells),
        means=figure.means,
        rests=say.rests(figure),
        interval=say.limits(figure),
        open_orders=figure.open_orders,
        behind=bool(figure.behind),
        note=note,
    )


def cell(figure: Figure, say: Say) -> Cell:
    """A value without its unit; a share of few as a count; a dash where there is nothing to say."""
    if figure.value is None:
        return Cell(NONE)
    if figure.unit == "share" and figure.few and figure.k is not None:
        return Cell(f"{figure.k} of {figure.n}", pale=True)
    return Cell(say.cell(figure.value, figure.unit), pale=figure.few)


def a_week(figure: Figure) -> Figure:
    """A count or a sum of USUAL_WEEKS weeks as that of one; money stays whole, rounded half up."""
    if figure.value is None:
        return figure
    if figure.unit == "money":
        each = (2 * int(figure.value) + USUAL_WEEKS) // (2 * USUAL_WEEKS)
        return replace(figure, value=each)
    return replace(figure, value=figure.value / USUAL_WEEKS)


def shortened(table: Table, columns: Sequence[str], most: int) -> Table:
    """Some columns of the first rows, and the rest as one row where the last column is money, so that the sums stay what they
    are."""
    spots = [spot for name in columns for spot, column in enumerate(table.columns) if column.key == name]
    rows = [tuple(row[spot] for spot in spots) for row in table.rows]
    kept = replace(
        table,
        columns=tuple(table.columns[spot] for spot in spots),
        rows=rows[:most],
        sums=tuple(table.sums[spot] for spot in spots) if table.sums else (),
    )
    rest = rows[most:]
    if not rest or kept.columns[-1].kind != "money":
        return kept
    lacking = sum(int(row[-1] or 0) for row in rest)
    words = f"{len(rest)} {'other' if len(rest) == 1 else 'others'}"
    return replace(kept, rows=[*kept.rows, (words, *[BLANK] * (len(spots) - 2), lacking)])


def told(week: ByKey, kinds: Sequence[Sequence[object]], say: Say, *, stretch: str = "week") -> Told:
    """What the sentence tells. `kinds`: rows of what lost money by kind, (words, items, amount)."""
    promise, full = week.get("promise-first"), week.get("margin-full")
    due = promise.n if promise else 0
    left = _count(week, "time-departures")
    amount = int(full.value or 0) if full else 0
    return Told(
        came=_count(week, "time-arrivals"),
        left=left,
        due=due,
        missed=due - (promise.k or 0) if promise else 0,
        waiting=_count(week, "quote-waiting-now"),
        brought=say.money(amount) if full and left else "",
        sign=(amount > 0) - (amount < 0),
        loss=_greatest(kinds),
        stretch=stretch,
    )


def _count(week: ByKey, key: str) -> int:
    return int(week[key].value or 0) if key in week else 0


def _greatest(kinds: Sequence[Sequence[object]]) -> str:
    keys = {words: key for key, words in KINDS.items()}
    most = max(kinds, key=lambda row: int(str(row[2])), default=None)
    return keys.get(str(most[0]), "") if most else ""
