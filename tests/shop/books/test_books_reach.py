"""Every figure leads to its orders and every table to its files, whichever slice it belongs to."""

from datetime import datetime, timedelta
from types import SimpleNamespace

from django.test import Client

from shop.books import finding, reading_keys
from tests import walk


def test_figures_and_tables_have_keys_of_their_own(bench: SimpleNamespace, at: datetime) -> None:
    books = finding.open_period("quarter", at=at)
    figures = [figure.key for figure in finding.figures(books)]
    tables = [table.key for _, some in finding.tables(books) for table in some]
    assert len(figures) > 50 and len(set(figures)) == len(figures)
    assert len(tables) > 30 and len(set(tables)) == len(tables)


def test_every_figure_says_what_it_means_and_what_became_of_open_orders(
    bench: SimpleNamespace, at: datetime
) -> None:
    walk.receive(walk.request(at=at), by=bench.technician, at=at)
    for figure in finding.figures(finding.open_period("quarter", at=at + timedelta(days=1))):
        assert figure.name and figure.means.endswith((".", ")")), figure.key
        assert figure.open_orders or not figure.behind, figure.key
        assert figure.low is None or figure.interval, figure.key


def test_every_figure_leads_to_its_orders(bench: SimpleNamespace, at: datetime) -> None:
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at)
    books = finding.open_period("all", at=at + timedelta(days=1))
    figures = finding.figures(books)
    for figure in figures:
        assert finding.behind(figure.key, books) == (figure.name, figure.behind)
    assert any(figure.behind == (order.pk,) for figure in figures)


def test_every_table_is_a_file_in_each_kind(bench: SimpleNamespace, at: datetime) -> None:
    walk.receive(walk.request(at=at), by=bench.technician, at=at)
    client = Client()
    client.force_login(bench.owner)
    key = {"Authorization": f"Bearer {reading_keys.make_key(name='All', by=bench.owner, at=at)[1]}"}
    books = finding.open_period("all", at=at + timedelta(days=1))
    for _, some in finding.tables(books):
        for table in some:
            heads = [column.name for column in table.columns]
            assert len(set(heads)) == len(heads), table.key
            for kind in ("csv", "xlsx", "txt"):
                answer = client.get(f"/books/tables/{table.key}.{kind}?period=all")
                assert answer.status_code == 200 and answer.getvalue(), (table.key, kind)
            assert client.get(f"/books/tables/{table.key}.json?period=all", headers=key).status_code == 200
