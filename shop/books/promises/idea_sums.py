"""What customers thought it was, against what was found. Pure."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from quotes.list_words import fold
from shop.books.figures import Cell, Column, Figure, Table
from shop.books.lines import Books, Line
from shop.books.promises.kappa_maths import Agreement, agreement
from shop.books.promises.shapes import Extra
from shop.books.promises.shares import SHARE_COLUMNS, orders, share_cells, share_figure
from shop.books.turnaround_maths import Z95

ANSWERS = ("right", "partly", "not")
NAMED = 3
GIVEN = "Orders that arrived in this period with an idea of the customer and a finding."
LEFT_OUT = "Orders without a finding yet are left out."
KAPPA = (
    "Cohen's kappa: 1 is always, 0 no better than luck. An idea counts under the kind of fault it names, else the one it was most "
    "often right about, else its own words; partly right counts as not."
)


class Told(NamedTuple):
    """One order with an idea and a finding."""

    line: Line
    idea: str


def told(books: Books, extra: Extra) -> list[Told]:
    """Orders that arrived in the window with both; the idea as its list spells it, or all unnamed ones as one."""
    return [Told(line, extra.ideas.get(line.order, "")) for line in books.came() if line.idea in ANSWERS]


def figures(books: Books, extra: Extra) -> list[Figure]:
    """K25: the share that was right, and kappa."""
    rows = told(books, extra)
    lines = [row.line for row in rows]
    found = agreed(rows)
    low, high = found.limits(Z95) or (None, None)
    error = "" if found.error is None else f" Standard error {found.error:.3f}."
    return [
        share_figure(
            "quote-idea-right", "Customers' ideas that were right", of=lines, counted=lambda line: line.idea == "right",
            means=f"{GIVEN} Right: the finding says so; partly right counts as not.", open_orders=LEFT_OUT, mark="K25",
        ),
        Figure(
            key="quote-idea-kappa", name="Ideas and findings agree beyond luck", value=found.kappa, unit="kappa", n=found.n,
            low=low, high=high, interval="large samples, 95 %", means=f"{KAPPA}{error}", open_orders=LEFT_OUT,
            behind=orders(lines), mark="K25",
        ),
    ]  # fmt: skip


def agreed(rows: Iterable[Told]) -> Agreement:
    """Kappa over (kind of fault the idea stands for, kind of fault found)."""
    counts = Counter((row.idea, row.line.fault, row.line.idea == "right") for row in rows)
    folded = {word: fold(word) for idea, fault, _ in counts for word in (idea, fault)}
    cells = Counter[tuple[str, str, bool]]()
    for (idea, fault, right), count in counts.items():
        cells[folded[idea], folded[fault], right] += count
    stands_for = _kinds(cells)
    return agreement(pair for cell, count in cells.items() for pair in [_pair(*cell, stands_for)] * count)


def _kinds(cells: Mapping[tuple[str, str, bool], int]) -> Mapping[str, str]:
    """What each idea stands for, both folded."""
    right: defaultdict[str, Counter[str]] = defaultdict(Counter)
    found = {fault for _, fault, _ in cells}
    for (idea, fault, was_right), count in cells.items():
        right[idea][fault] += count * was_right
    return {
        word: word if word in found or not +counts else max(sorted(+counts), key=counts.__getitem__)
        for word, counts in right.items()
    }


def _pair(idea: str, fault: str, right: bool, stands_for: Mapping[str, str]) -> tuple[str, str]:
    """A finding that calls the idea right agrees with it whatever its words; one that does not never does."""
    if right:
        return fault, fault
    kind = stands_for[idea]
    return kind if kind != fault else f"{kind} (not so)", fault


def tables(books: Books, extra: Extra) -> list[Table]:
    rows = told(books, extra)
    return [_ideas(rows), _pairs(rows)]


def _ideas(rows: Iterable[Told]) -> Table:
    by_idea: defaultdict[str, list[Told]] = defaultdict(list)
    for row in rows:
        by_idea[row.idea].append(row)
    words = sorted(by_idea, key=lambda word: (-len(by_idea[word]), word))
    return Table(
        "quote-ideas", "What customers thought it was",
        f"A row is one idea, as often as it was given. {GIVEN} Wilson limits (95 %); partly right counts as not in the share.",
        (
            Column("idea", "The customer's idea", "text"), Column("said", "Said", "orders"),
            *(Column(each, each.capitalize(), "orders") for each in ANSWERS), *SHARE_COLUMNS,
            Column("found", "Found most often", "text"),
        ),
        [(word, *_idea_cells(by_idea[word])) for word in words],
    )  # fmt: skip


def _idea_cells(rows: list[Told]) -> tuple[Cell, ...]:
    counts = Counter(row.line.idea for row in rows)
    faults = Counter(row.line.fault for row in rows)
    most = sorted(faults, key=lambda fault: (-faults[fault], fault))[:NAMED]
    said = ", ".join(f"{fault or 'not said'} {faults[fault]}" for fault in most)
    return (len(rows), *(counts[each] for each in ANSWERS), *share_cells(counts["right"], len(rows)), said)


def _pairs(rows: Iterable[Told]) -> Table:
    counts = Counter((row.idea, row.line.fault, row.line.idea) for row in rows)
    pairs = Counter[tuple[str, str]]()
    for (idea, fault, _), count in counts.items():
        pairs[idea, fault] += count
    ranked = sorted(pairs, key=lambda pair: (-pairs[pair], pair))
    return Table(
        "quote-idea-found", "Idea against finding",
        f"A row is one idea with one kind of fault that was found. {GIVEN}",
        (
            Column("idea", "The customer's idea", "text"), Column("fault", "What was found", "text"),
            Column("orders", "Orders", "orders"), Column("right", "Called right", "orders"),
            Column("partly", "Partly", "orders"),
        ),
        [(*pair, pairs[pair], counts[*pair, "right"], counts[*pair, "partly"]) for pair in ranked],
    )  # fmt: skip
