"""Whether parts of one lot come back more often than luck explains. Pure."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping

from shop.books.figures import Cell, Column, Table
from shop.books.lines import Books
from shop.books.promises.comeback_sums import at_risk, by_order
from shop.books.promises.rare_maths import fisher, held_together
from shop.books.promises.shapes import Extra, Fitted

MEANS = (
    "A row is one lot of parts that went into mended orders that left in this period. 'Came back' counts those for a cause of ours. It is "
    "held against mended orders with the same part of another lot or of none, where there are any, else against all other mended "
    "orders. Chance: how often luck alone would tell the two apart as far as this (Fisher's exact test, two-sided). Of many lots "
    "one looks bad by luck; the last column allows for that (Holm). Young orders count as the others do: a fresh lot may look better than it is."
)


def lots(books: Books, extra: Extra) -> Table:
    """K13, the lots, those least likely by luck first."""
    came_back = by_order(at_risk(books))
    fitted = [each for each in extra.fitted if each.order in came_back]
    parts, of_lot = _orders(fitted)
    every = _tally(came_back, came_back)
    by_part = {part: _tally(own, came_back) for part, own in parts.items()}
    found = [_row(key, _tally(own, came_back), by_part[key[1]], every) for key, own in of_lot.items()]
    held = held_together([row[1] for row in found])
    stopped = {each.lot for each in fitted if each.stopped}
    rows: list[tuple[Cell, ...]] = [
        (lot, part, "stopped" if lot in stopped else "", *cells, chance, together)
        for ((lot, part, *cells), chance), together in zip(found, held, strict=True)
    ]
    rows.sort(key=lambda row: (row[-2], row[0]))
    return Table(
        "promise-comeback-lots", "Comebacks by lot", MEANS,
        (
            Column("lot", "Lot", "text"), Column("part", "Part", "text"), Column("stopped", "Stopped", "text"),
            Column("came_back", "Came back", "orders"), Column("orders", "Of", "orders"),
            Column("others_back", "Others came back", "orders"), Column("others", "Of others", "orders"),
            Column("against", "Held against", "text"), Column("chance", "Chance", "ratio"),
            Column("together", "Chance, all lots", "ratio"),
        ),
        rows,
    )  # fmt: skip


def _orders(
    fitted: Iterable[Fitted],
) -> tuple[Mapping[str, set[int]], Mapping[tuple[str, str], set[int]]]:
    """Orders by part, and by (lot, part)."""
    parts: defaultdict[str, set[int]] = defaultdict(set)
    of_lot: defaultdict[tuple[str, str], set[int]] = defaultdict(set)
    for each in fitted:
        parts[each.part].add(each.order)
        if each.lot:
            of_lot[each.lot, each.part].add(each.order)
    return parts, of_lot


def _tally(orders: Collection[int], came_back: Mapping[int, bool]) -> tuple[int, int]:
    """How many of some orders came back, and how many they are."""
    return sum(map(came_back.__getitem__, orders)), len(orders)


def _row(
    key: tuple[str, str], own: tuple[int, int], same_part: tuple[int, int], every: tuple[int, int]
) -> tuple[tuple[Cell, ...], float]:
    """A lot's orders are among those of its part, and those among all: the others are what is left."""
    alone = same_part == own
    back, n = own
    others_back, others = (
        whole - mine for whole, mine in zip(every if alone else same_part, own, strict=True)
    )
    against = "all others" if alone else "same part"
    return (*key, back, n, others_back, others, against), fisher(back, n, others_back, others)
