"""What came back: comebacks by the days that mended orders have been at home, by cause, by kind of fault and by lot. Pure."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from shop.books.figures import FEW, Cell, Column, Figure, Table
from shop.books.lines import DAY_SECONDS, Books, Line
from shop.books.promises.rare_maths import poisson_limits

# Days that a mended order is looked at, and the hundred orders that a rate is said of.
SPAN, HUNDRED = 90, 100
OURS = frozenset({"same", "work", "lot"})
CAUSES = {
    "same": "The same fault again",
    "work": "Our own work",
    "lot": "A part of a bad lot",
    "new": "A new fault",
    "damage": "New damage",
    "": "Not looked at yet",
}
GARWOOD = "Garwood, 95 %"
RISK = (
    f"Mended orders that left in this period count their days at home (else since they left), at most {SPAN}, up to their first "
    "comeback of ours."
)
RATE_COLUMNS = (
    Column("rate", f"In {HUNDRED} orders, {SPAN} days", "per 100"),
    Column("low", "At least", "per 100"),
    Column("high", "At most", "per 100"),
)


class Risk(NamedTuple):
    """A mended order: seconds it was looked at, and what came back of it within its days, by cause; the first of ours ends them."""

    line: Line
    seconds: int
    causes: tuple[str, ...]

    @property
    def ours(self) -> bool:
        """Whether it came back for a cause of ours."""
        return any(cause in OURS for cause in self.causes)


def at_risk(books: Books) -> list[Risk]:
    """Every mended order that left in the window."""
    back: defaultdict[int, list[Line]] = defaultdict(list)
    for line in books.lines:
        if line.comeback_of:
            back[line.comeback_of].append(line)
    return [_risk(line, back.get(line.order, ()), books.now) for line in books.gone() if line.mended]


def _risk(line: Line, back: Iterable[Line], now: int) -> Risk:
    start = line.home or line.left
    end = min(now, start + SPAN * DAY_SECONDS)
    if not back:
        return Risk(line, max(0, end - start), ())
    causes = []
    for comeback in sorted(back, key=lambda each: each.arrived):
        if comeback.arrived > end:
            break
        causes.append(comeback.cause)
        if comeback.cause in OURS:
            end = comeback.arrived
    return Risk(line, max(0, end - start), tuple(causes))


def rate_cells(count: int, seconds: int) -> tuple[Cell, ...]:
    """Comebacks in a hundred orders of ninety days, with exact limits; three empty cells without a day."""
    if not seconds:
        return (None, None, None)
    scale = SPAN * HUNDRED * DAY_SECONDS / seconds
    low, high = poisson_limits(count)
    return (count * scale, low * scale, high * scale)


def figures(books: Books) -> list[Figure]:
    """K12: the rate of comebacks of ours, and how many there were."""
    risks = at_risk(books)
    back = [risk for risk in risks if risk.ours]
    seconds = sum(risk.seconds for risk in risks)
    rate = rate_cells(len(back), seconds)
    value, low, high = (each if isinstance(each, float) else None for each in rate)
    days = round(seconds / DAY_SECONDS)
    return [
        Figure(
            key="promise-comebacks", name=f"Came back, of a hundred in {SPAN} days", value=value, low=low, high=high,
            unit="per 100", interval=GARWOOD, n=len(risks), k=len(back), mark="K12",
            means=f"Same fault, our own work or a bad lot, by days at risk: here {len(back)} in {days:,} days. {RISK}",
            open_orders="Young orders count the days they had; comebacks not looked at yet are left out.",
            behind=tuple(risk.line.order for risk in risks),
        )
    ]  # fmt: skip


def tables(books: Books) -> list[Table]:
    risks = at_risk(books)
    return [_by_cause(risks), _by_fault(risks)]


def _by_cause(risks: Sequence[Risk]) -> Table:
    seconds = sum(risk.seconds for risk in risks)
    counts = Counter(cause for risk in risks for cause in risk.causes)
    rows: list[tuple[Cell, ...]] = [
        (words, "ours" if cause in OURS else "" if not cause else "not ours", counts[cause], *rate_cells(counts[cause], seconds))
        for cause, words in CAUSES.items()
        if counts[cause] or cause in OURS
    ]  # fmt: skip
    return Table(
        "promise-comeback-causes", "Comebacks by cause",
        f"A row is one cause. {RISK} Limits are exact ({GARWOOD}).",
        (Column("cause", "Why it came back", "text"), Column("whose", "Whose", "text"),
         Column("comebacks", "Comebacks", "orders"), *RATE_COLUMNS),
        rows if risks else [],
    )  # fmt: skip


def _by_fault(risks: Sequence[Risk]) -> Table:
    groups: defaultdict[str, list[Risk]] = defaultdict(list)
    for risk in risks:
        groups[risk.line.fault].append(risk)
    words = sorted(groups, key=lambda word: (-_ours(groups[word]), -len(groups[word]), word))
    return Table(
        "promise-comeback-faults", "Comebacks by kind of fault",
        f"A row is the kind of fault that was mended. {RISK} Limits are exact ({GARWOOD}); a kind with fewer than {FEW} mended "
        "orders has no rate of its own.",
        (Column("fault", "Kind of fault", "text"), Column("orders", "Mended", "orders"), Column("days", "Days at risk", "days"),
         Column("comebacks", "Came back", "orders"), *RATE_COLUMNS),
        [(word, *_fault_cells(groups[word])) for word in words],
        (None, *_fault_cells(risks)) if risks else (),
    )  # fmt: skip


def _fault_cells(risks: Sequence[Risk]) -> tuple[Cell, ...]:
    seconds, back = sum(risk.seconds for risk in risks), _ours(risks)
    rate = rate_cells(back, seconds if len(risks) >= FEW else 0)
    return (len(risks), round(seconds / DAY_SECONDS, 2), back, *rate)


def _ours(risks: Iterable[Risk]) -> int:
    return sum(risk.ours for risk in risks)


def by_order(risks: Iterable[Risk]) -> Mapping[int, bool]:
    """Whether each order came back for a cause of ours."""
    return {risk.line.order: risk.ours for risk in risks}
