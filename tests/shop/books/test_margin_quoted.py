"""Fixed quotes against what they took, groups, and the figures that rest on them."""

from fractions import Fraction

import pytest

from shop.books.lines import Line
from shop.books.margin import groups_maths, quoted_maths, sums
from shop.books.margin.shapes import Extra
from tests.shop.books import margin_lines as made


def quoted(order: int, spent: int, minutes: int = 60, **changes: object) -> Line:
    return made.line(order, remedy="Port", quoted_minutes=minutes, look=spent - 10, repair=10, **changes)


def test_ratio_by_remedy_has_its_middle_and_its_worst() -> None:
    lines = [
        quoted(1, 30),
        quoted(2, 90),
        quoted(3, 60),
        made.line(4, remedy="Rail", quoted_minutes=10, look=10),
    ]
    port, rail = quoted_maths.by_remedy(lines)
    assert (port.n, port.quoted, port.spent, port.ratio) == (3, 180, 180, 1)
    assert (port.middle, port.worst, port.worst_order) == (1, Fraction(3, 2), 2)
    assert (rail.remedy, rail.worst_order) == ("Rail", 4)
    assert quoted_maths.overall(lines) == 190 / 190


@pytest.mark.parametrize("changes", [{"outcome": "no fix"}, {"left": 0}, {"minutes": 0}])
def test_ratio_leaves_out_what_nobody_promised_or_mended(changes: dict[str, object]) -> None:
    assert quoted_maths.fixed_prices([quoted(1, 30, **changes)]) == []
    assert quoted_maths.overall([]) is None


def test_groups_add_up_to_all() -> None:
    lines = made.twelve()
    for facet in groups_maths.FACETS:
        table = groups_maths.table(lines, facet)
        for place in range(1, 6):
            assert sum(row[place] for row in table.rows) == table.sums[place]


def test_group_is_sorted_by_any_column_and_empty_cells_come_last() -> None:
    lines = [
        made.line(1, remedy="b", billed=10, look=10), made.line(2, remedy="A", billed=30),
        made.line(3, remedy="", billed=20, look=60),
    ]  # fmt: skip
    table = groups_maths.table(lines, groups_maths.FACETS[0])
    assert [row[0] for row in table.rows] == ["A", "", "b"]
    assert [row[0] for row in groups_maths.sorted_by(table, "remedy").rows] == ["A", "b", ""]
    assert [row[0] for row in groups_maths.sorted_by(table, "hour").rows] == ["b", "", "A"]
    assert groups_maths.sorted_by(table, "nonsense") == table


def test_hour_counts_all_minutes_of_the_window_and_what_is_here() -> None:
    lines = [made.line(1, billed=10_000, losses=1_000), made.line(2, left=0, parts=500)]
    extra = Extra(worked={("look", 1): 90, ("talk", 2): 30})
    figures = {one.key: one for one in sums.figures(made.books(lines), extra)}
    assert figures["margin-hour"].value == 4_250
    assert figures["margin-hour-undisturbed"].value == 4_750
    assert figures["margin-hour-cost"].value == 4_200
    assert figures["margin-minutes"].value == 120
    assert figures["margin-progress"].value == -500
    assert figures["margin-cash"].value == 9_000
    assert figures["margin-cash"].behind == (1,)


def test_figures_of_no_order_say_nothing_rather_than_nought() -> None:
    figures = {one.key: one for one in sums.figures(made.books([]), Extra())}
    for key in ("margin-cash-each", "margin-hour", "margin-burden-each", "margin-quoted"):
        assert figures[key].value is None
    assert figures["margin-cash"].value == 0


def test_every_figure_says_what_it_means_and_no_key_stands_twice() -> None:
    figures = sums.figures(made.books(made.twelve()), Extra())
    assert len({one.key for one in figures}) == len(figures)
    assert all(one.means.endswith(".") and one.key.startswith("margin-") for one in figures)


def test_few_orders_make_a_mean_pale_and_a_sum_not() -> None:
    figures = {one.key: one for one in sums.figures(made.books(made.twelve()[:4]), Extra())}
    assert figures["margin-cash-each"].few
    assert not figures["margin-cash"].few
