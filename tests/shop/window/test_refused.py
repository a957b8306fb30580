"""After a no: what goes back, with or without its battery, and a last look that promises no repair."""

from types import SimpleNamespace

import pytest
from django.test import Client

from intake import drain
from intake.models import Letter, Order
from intake.stations import Station
from shop.branches.quarantine import Dealt, end_quarantine
from tests import walk
from tests.window_pages import AT, let_in, page_of, read_back, said

PROMISE = "It does not go up. If a second fault shows, we stop and ask you first."
AS_IT_CAME = "It goes back as it came."


def declined(bench: SimpleNamespace, cell_state: str) -> Order:
    order = walk.receive(walk.request(at=AT), by=bench.technician, at=AT, cell_state=cell_state)
    order = walk.to(order, Station.GO_AHEAD, by=bench.technician, at=AT)
    walk.answer(order, choice="back", at=AT)
    order.refresh_from_db()
    return order


@pytest.mark.parametrize(
    ("cell_state", "words"),
    [
        ("sound", AS_IT_CAME),
        ("swollen", "It goes back without its battery, once somebody trained has taken it out."),
        ("unseen", "It goes back once somebody trained has looked at its battery;"),
    ],
)
def test_declined_device_goes_back_as_its_battery_allows(
    bench: SimpleNamespace, client: Client, cell_state: str, words: str
) -> None:
    page = said(page_of(declined(bench, cell_state), client))
    assert words in page and "No repair was done." in page
    assert (AS_IT_CAME in page) is (cell_state == "sound")


@pytest.mark.parametrize("cell_state", ["sound", "swollen"])
def test_letter_of_a_no_promises_it_back_as_it_is_only_with_a_sound_battery(
    bench: SimpleNamespace, cell_state: str
) -> None:
    told = Letter.objects.get(order=declined(bench, cell_state), kind="declined").text
    assert ("back as it is" in told) is (cell_state == "sound")
    assert ("may not go by post" in told) is (cell_state == "swollen")


def test_declined_device_whose_battery_is_out_is_told_so_to_its_end(
    bench: SimpleNamespace, client: Client
) -> None:
    order = declined(bench, "swollen")
    dealt = Dealt(how="battery", words="Tarn took it out.")
    end_quarantine(order=order, seen_version=order.version, dealt=dealt, by=bench.technician, at=AT)
    order.refresh_from_db()
    page = said(page_of(order, client))
    assert "It goes back without its battery, which was not sound." in page and AS_IT_CAME not in page
    walk.pay(order, by=bench.technician, at=AT)
    walk.deliver(walk.send(order, by=bench.technician, at=AT), by=bench.technician, at=drain.now())
    order.refresh_from_db()
    page = said(page_of(order, client))
    assert (
        "It is home, without its battery. No repair was done." in page
        and "It is home, as it came" not in page
    )


@pytest.mark.parametrize(("choice", "promised"), [("mend", True), ("back", False), ("recycle", False)])
def test_last_look_promises_a_price_only_for_a_repair(
    bench: SimpleNamespace, client: Client, monkeypatch: pytest.MonkeyPatch, choice: str, promised: bool
) -> None:
    monkeypatch.setattr("shop.window.reading.facts_of", lambda row, quote: [("Your data", "It stays on it.")])
    order = walk.to(walk.request(at=AT), Station.GO_AHEAD, by=bench.technician, at=AT)
    page = said(read_back(let_in(order, client), order.quotes.get(), choice))
    assert "It stays on it." in page and "The price stands until" in page
    assert (PROMISE in page) is promised
    walk.answer(order, choice=choice, at=AT)
    order.refresh_from_db()
    assert (PROMISE in said(page_of(order, client))) is promised
