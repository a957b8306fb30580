"""What the margin must show of the demonstration's twelve orders, to the cent."""

from dataclasses import replace

from intake.models import Order
from shop.books.figures import Figure
from shop.books.lines import Books, Line
from shop.books.margin import burden_maths, queries, sums
from shop.books.margin.fall_maths import Steps, added
from shop.books.margin.shapes import Extra
from shop.books.margin.sharing_maths import per_hour, rounded
from tests.shop.books.margin_lines import TABLE, units

# The twelve by the names the demonstration gives them, in the order of the table.
NAMES = (
    "mara", "tobin", "ines", "dov", "lenka", "petra", "osei", "hollis", "yusra", "garrick", "stallmere", "wendeline",
)  # fmt: skip
ROWS = dict(zip(NAMES, (line.split() for line in TABLE.strip().splitlines()), strict=True))


def check(books: Books, named: dict[str, Order]) -> None:
    """`books` hold the lines of the twelve alone: one each, and four boards of the trade customer."""
    groups = _by_name(books, named)
    for name, lines in groups.items():
        assert _said(added(lines)) == _meant(ROWS[name]), name
    _sums(added(books.lines))
    batch = {line.order for line in groups["stallmere"]}
    _burden(list(books.lines), batch)
    _figures(books, {name: {line.order for line in lines} for name, lines in groups.items()})


def _by_name(books: Books, named: dict[str, Order]) -> dict[str, list[Line]]:
    trade = named["stallmere"].customer_id
    groups: dict[str, list[Line]] = {name: [] for name in NAMES}
    for line in books.lines:
        name = next((name for name in NAMES if named[name].pk == line.order), "")
        groups[name or ("stallmere" if line.customer == trade else "")].append(line)
    assert {name: len(lines) for name, lines in groups.items()} == dict.fromkeys(NAMES, 1) | {"stallmere": 4}
    return groups


def _said(steps: Steps) -> tuple[int, ...]:
    """The batch's spoiled chip is counted with its parts in the table."""
    return (
        steps.billed, steps.parts + steps.spoiled, steps.post, steps.fees, steps.losses, steps.minutes, steps.cash,
        steps.full,
    )  # fmt: skip


def _meant(row: list[str]) -> tuple[int, ...]:
    labour, parts, rush, post, _, _, part_cost, post_cost, card, other = (units(text) for text in row[1:11])
    minutes = sum(int(part) for part in row[11].split("/"))
    billed = labour + parts + rush + post
    return (billed, part_cost, post_cost, card, other, minutes, units(row[12]), units(row[13]))


def _sums(steps: Steps) -> None:
    assert (steps.billed, steps.parts + steps.spoiled, steps.post) == (125_300, 9_092, 9_420)
    assert (steps.fees, steps.losses) == (3_203, 1_900 + 15_500)
    assert (steps.cash, steps.full, steps.minutes) == (86_185, -9_155, 1362)
    assert per_hour(steps.cash, steps.minutes) == 3_797
    assert per_hour(steps.cash + 15_500, steps.minutes) == 4_480


def _burden(lines: list[Line], batch: set[int]) -> None:
    """The table counts the batch as one billed order. By lines its burnt board is one that nobody pays, too: 21 minutes."""
    single = [line for line in lines if line.order not in batch]
    assert burden_maths.burden(single) == 22_610
    assert len(burden_maths.billed_repairs(single)) + 1 == 6
    assert rounded(22_610, 6) == 3_768
    assert burden_maths.burden(lines) == 22_610 + 21 * 70
    assert len(burden_maths.billed_repairs(lines)) == 5 + 3


def _figures(books: Books, pks: dict[str, set[int]]) -> None:
    """What was read beside the lines is cut to the same orders: their minutes, and no stock."""
    minutes = sum(line.minutes for line in books.lines)
    extra: Extra = replace(queries.extra(books), worked={("look", 0): minutes}, stock_short=0)
    found: dict[str, Figure] = {figure.key: figure for figure in sums.figures(books, extra)}
    assert found["margin-hour"].value == 3_797
    assert found["margin-warranty"].value == 5_500
    (items,) = (table for table in sums.tables(books, extra) if table.key == "margin-lost-all")
    worst = [(row["order"], row["amount"]) for row in items.named()][:3]
    (petra,), (lenka,), (wendeline,) = pks["petra"], pks["lenka"], pks["wendeline"]
    assert worst == [(petra, 14_000), (lenka, 10_135), (wendeline, 5_500)]
    assert sum(int(row["amount"] or 0) for row in items.named()) == found["margin-lost"].value
