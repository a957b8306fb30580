"""Whether parts of one lot come back more often than luck explains. Pure."""

from collections import defaultdict
from collections.abc import Iterable, Mapping

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
    found = [_row(key, own, parts[key[1]], came_back) for key, own in of_lot.items()]
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
            Column("came_back", "Came back", "orders"), Column("orders", "of", "orders"),
            Column("others_back", "Others came back", "orders"), Column("others", "of", "orders"),
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


def _row(
    key: tuple[str, str], own: set[int], same_part: set[int], came_back: Mapping[int, bool]
) -> tuple[tuple[Cell, ...], float]:
    rest = same_part - own
    against = "same part" if rest else "all others"
    others = rest or came_back.keys() - own
    back, others_back = (sum(came_back[order] for order in group) for group in (own, others))
    chance = fisher(back, len(own), others_back, len(others))
    return (*key, back, len(own), others_back, len(others), against), chance
