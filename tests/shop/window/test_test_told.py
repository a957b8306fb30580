"""The signed test in the customer's window: what could not be tested stands in the open."""

from types import SimpleNamespace

from django.test import Client

from intake.stations import Station
from tests import walk
from tests.window_pages import AT, let_in, page_of


def test_window_says_what_could_not_be_tested_and_what_was_bad_already(
    bench: SimpleNamespace, client: Client
) -> None:
    order = walk.to(walk.request(at=AT), Station.GOODS_OUT, by=bench.technician, at=AT)
    let_in(order, client)
    assert "could not test" not in page_of(order, client)
    rows = order.test_runs.get().rows
    rows.filter(number=6).update(result="cannot", reason="Without your code")
    rows.filter(number=7).update(result="already", reason="Torn when it came")
    order.test_runs.update(second_by=bench.owner, second_at=AT)
    page = page_of(order, client)
    shown = page[: page.index("See the test sheet")]
    assert (
        "What we could not test, and why" in shown
        and f"{rows.get(number=6).text}: Without your code" in shown
    )
    assert "Was bad when it came" in shown and "A second person looked it over." in shown
