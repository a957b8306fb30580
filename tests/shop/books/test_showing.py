"""Figures and tables in words: the way to the orders, what is pale, what is cut."""

from zoneinfo import ZoneInfo

from django.template.loader import render_to_string

from shop.books.figures import Column, Figure, Table
from shop.books.lines import Books, House, Window
from shop.books.showing import ROWS, shown, shown_table, wanted

BOOKS = Books(House("USD", 2, ZoneInfo("UTC"), 7_000), 1_772_215_200, Window("week", "Last 7 days", 1, 2), ())
COLUMNS = (
    Column("order", "Order", "order"), Column("customer", "Customer", "customer"), Column("person", "Technician", "person"),
    Column("family", "Family", "text"), Column("orders", "Orders", "orders"), Column("low", "At least", "share"),
)  # fmt: skip


def _table(rows: list[tuple[object, ...]], sums: tuple[object, ...] = ()) -> Table:
    return Table("time-family", "By family", "A row is a family.", COLUMNS, rows, sums)  # type: ignore[arg-type]


def test_figure_leads_to_the_orders_behind_it(db: None) -> None:
    figure = Figure(
        "time-median", "Half are gone by", 4.2, "days", 9, "Days.", "Counted as here.", (1, 2), mark="K1"
    )
    card = shown(figure, BOOKS)
    assert card.href == "/books/orders/?figure=time-median&period=week"
    assert card.pale and card.mark == "K1"
    page = render_to_string("shop/books/figure_list.html", {"list": [card]})
    assert 'class="pale"' in page and "Few: read it with care." in page
    assert 'href="/books/orders/?figure=time-median&amp;period=week"' in page


def test_figure_without_orders_leads_nowhere(db: None) -> None:
    card = shown(Figure("time-x", "X", None, "days", 0, "", ""), BOOKS)
    page = render_to_string("shop/books/figure_list.html", {"list": [card]})
    assert card.href == "" and "<a" not in page and "nothing yet" in page


def test_table_names_what_its_numbers_stand_for(db: None) -> None:
    table = _table(
        [(7, 3, 2, "", 9, 0.5), (0, 0, 0, "Zarnik Z7", 10, None), (8, 4, 5, "<b>", 0, 1.0)],
        (0, 0, 0, "", 19, None),
    )
    said = shown_table(table, BOOKS, {7: "R9SS-A2TA"}, {3: "Mara <Ellwick>"}, {2: "ansel"})
    assert [cell.text for cell in said.rows[0]] == [
        "R9SS-A2TA",
        "Mara <Ellwick>",
        "ansel",
        "not said",
        "9",
        "50 %",
    ]
    assert said.rows[0][0].href.endswith("R9SS-A2TA/")
    assert [cell.text for cell in said.rows[1]] == ["", "no customer", "nobody yet", "Zarnik Z7", "10", ""]
    assert said.rows[2][0].text == "8" and said.rows[2][0].href == ""
    assert [row.pale for row in said.rows] == [True, False, True]
    page = render_to_string("shop/books/table.html", {"table": said})
    assert page.count('<tr class="pale">') == 2
    assert "Mara &lt;Ellwick&gt;" in page and "<b>" not in page
    assert 'href="/books/tables/time-family.csv?period=week"' in page and "<tfoot>" in page


def test_table_is_cut_and_says_what_the_file_has_more(db: None) -> None:
    said = shown_table(_table([(0, 0, 0, "x", 1, None)] * (ROWS + 3)), BOOKS, {}, {}, {})
    assert (len(said.rows), said.more) == (ROWS, 3)
    assert "3 more in the file." in render_to_string("shop/books/table.html", {"table": said})


def test_empty_table_says_so_and_keeps_its_name(db: None) -> None:
    page = render_to_string("shop/books/table.html", {"table": shown_table(_table([]), BOOKS, {}, {}, {})})
    assert "By family" in page and "Nothing here in this period." in page


def test_rows_that_are_no_sample_are_never_pale(db: None) -> None:
    columns = (
        Column("day", "Day", "orders"),
        Column("answers", "Answers", "orders"),
        Column("low", "At least", "share"),
    )
    said = shown_table(Table("quote-days", "Days", "", columns, [(1, 2, 0.5)]), BOOKS, {}, {}, {})
    assert not said.rows[0].pale


def test_only_names_of_rows_that_are_shown_are_asked_for() -> None:
    table = _table([(number, number + 100, 1, "", 1, None) for number in range(1, ROWS + 9)])
    asked = wanted([table])
    assert (
        asked["order"] == set(range(1, ROWS + 1))
        and max(asked["customer"]) == ROWS + 100
        and asked["person"] == {1}
    )
    assert len(wanted([table], rows=None)["order"]) == ROWS + 8
