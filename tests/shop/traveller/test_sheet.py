"""The traveller's page: what it shows at every station, who may see it, how many queries it takes."""

from datetime import datetime, timedelta
from types import SimpleNamespace

import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from intake import history, lifecycle
from intake.models import Message, Order
from intake.stations import NAMES, SlipReason, Station
from tests import walk

PLACES = [Station.GOODS_IN, Station.WAY_HOME, Station.HOME]


def page_of(client: Client, order: Order) -> str:
    answer = client.get(f"/sheet/{order.code}/")
    assert answer.status_code == 200
    return answer.content.decode()


def test_sheet_shows_what_the_customer_said(staff: Client, at: datetime) -> None:
    order = walk.request(at=at)
    text = page_of(staff, order)
    for words in (
        order.code,
        "Rings but nobody hears me.",
        "The microphone is blown",
        "ZZ-0417",
        "data:image/svg",
    ):
        assert words in text


@pytest.mark.parametrize("station", [station for station in Station if station >= Station.GOODS_IN])
def test_sheet_is_drawn_at_every_station(
    staff: Client, bench: SimpleNamespace, at: datetime, station: Station
) -> None:
    order = walk.to(walk.request(at=at), station, by=bench.technician, at=at)
    text = page_of(staff, order)
    assert f'id="station-{int(station)}" aria-current="step"' in text
    assert NAMES[station] in text
    assert text.count('aria-current="step"') == 1


def test_key_that_sends_the_parcel_does_not_close_the_order_too(
    staff: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.to(walk.request(at=at), Station.WAY_HOME, by=bench.technician, at=at)
    text = page_of(staff, order)
    assert 'data-key="F9"' not in text and "It was delivered" in text


def test_sheet_signed_twice_shows_both_signatures(
    staff: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.to(walk.request(at=at), Station.QUOTE, by=bench.technician, at=at)
    by = lifecycle.staff(bench.technician)
    lifecycle.advance(
        order, to=Station.DIAGNOSIS, seen_version=order.version, by=by, at=at, note="Once more."
    )
    lifecycle.advance(order, to=Station.QUOTE, seen_version=order.version, by=by, at=at, note="Second look.")
    text = page_of(staff, order)
    row = text.split('id="station-30"')[1].split("</li>")[0]
    assert row.count(f"<b>{by.initials}</b>") == 2
    assert "Second look." in row


def test_sheet_of_an_unknown_code_is_not_found(staff: Client) -> None:
    assert staff.get("/sheet/ACDE-FHJK/").status_code == 404


def test_sheet_opens_by_any_spelling_of_its_code(staff: Client, at: datetime) -> None:
    order = walk.request(at=at)
    assert staff.get(f"/sheet/{order.code.replace('-', '').lower()}/").status_code == 200


def test_sheet_takes_as_many_queries_with_fifty_entries_as_with_one(
    staff: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.request(at=at)

    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            page_of(staff, order)
        return len(seen)

    page_of(staff, order)
    few = queries()
    with transaction.atomic():
        for number in range(50):
            history.record(order=order, what="photo", by="tarn", at=at, facts={"role": f"{number}"})
            Message.objects.create(
                order=order, from_customer=False, who="Pia", text="Soon.", at=at, form_key=f"key-{number}"
            )
    assert queries() == few
    assert few <= 20


def test_sheet_lists_the_newest_entries_and_all_on_request(staff: Client, at: datetime) -> None:
    order = walk.request(at=at)
    with transaction.atomic():
        for number in range(20):
            history.record(order=order, what="photo", by="tarn", at=at, facts={"role": f"role {number}"})
    short, long = page_of(staff, order), staff.get(f"/sheet/{order.code}/?history=all").content.decode()
    assert "role 19" in short and "role 3)" not in short and "The whole history" in short
    assert "role 3)" in long and "The whole history" not in long


def test_hold_and_release_of_a_slip(staff: Client, at: datetime) -> None:
    order = walk.request(at=at)
    staff.post(
        f"/sheet/{order.code}/hold/", {"slip-reason": SlipReason.PART, "slip-note": "Socket is on its way"}
    )
    assert "Socket is on its way" in page_of(staff, order)
    staff.post(f"/sheet/{order.code}/release/", {"reason": SlipReason.PART})
    assert order.slips.get().ended_at is not None
    assert "Socket is on its way" not in page_of(staff, order)


def test_quarantine_slip_comes_off_only_with_a_word(
    staff: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at, cell_state="swollen")
    answer = staff.post(f"/sheet/{order.code}/release/", {"reason": SlipReason.QUARANTINE})
    assert answer.status_code == 422
    assert order.slips.get().ended_at is None
    bare = {"reason": SlipReason.QUARANTINE, "note": "Cell handed in."}
    assert staff.post(f"/sheet/{order.code}/release/", bare).status_code == 422
    said = {"version": order.version, "how": "battery", "then": "on", "words": "Cell handed in."}
    staff.post(f"/sheet/{order.code}/battery/", said)
    assert order.slips.get().end_note == "Cell handed in."


def test_message_to_the_customer_goes_once(staff: Client, at: datetime) -> None:
    order = walk.request(at=at)
    for _ in range(2):
        answer = staff.post(f"/sheet/{order.code}/write/", {"text": "It is safe here.", "form_key": "one"})
        assert answer.status_code == 303
    assert order.messages.count() == 1
    assert order.letters.filter(kind="answer").count() == 1


def test_message_that_is_too_long_is_kept_on_the_page(staff: Client, at: datetime) -> None:
    order = walk.request(at=at)
    answer = staff.post(f"/sheet/{order.code}/write/", {"text": "long " * 2000, "form_key": "one"})
    assert answer.status_code == 422
    assert "long long long" in answer.content.decode()
    assert order.messages.count() == 0


def test_delivery_closes_the_sheet_and_starts_the_warranty(
    staff: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.to(walk.request(at=at), Station.WAY_HOME, by=bench.technician, at=at)
    day = at.date() + timedelta(days=2)
    answer = staff.post(f"/sheet/{order.code}/delivered/", {"version": order.version, "day": day.isoformat()})
    assert answer.status_code == 303
    order.refresh_from_db()
    assert order.at_station is Station.HOME
    assert order.warranty.starts == day


@pytest.mark.parametrize(
    ("day", "words"),
    [
        ("2026-01-31", "It was handed to the post later than that."),
        ("2999-01-01", "That day is still to come."),
        ("soon", "Write the day as 2026-11-27."),
        ("", "Say on which day."),
    ],
)
def test_delivery_on_an_impossible_day_is_refused_beside_the_field(
    staff: Client, bench: SimpleNamespace, at: datetime, day: str, words: str
) -> None:
    order = walk.to(walk.request(at=at), Station.WAY_HOME, by=bench.technician, at=at)
    answer = staff.post(f"/sheet/{order.code}/delivered/", {"version": order.version, "day": day})
    assert answer.status_code == 422
    assert words in answer.content.decode()


def test_comeback_is_pinned_to_the_old_sheet_once(
    staff: Client, bench: SimpleNamespace, at: datetime
) -> None:
    order = walk.to(walk.request(at=at), Station.HOME, by=bench.technician, at=at)
    for _ in range(2):
        answer = staff.post(
            f"/sheet/{order.code}/came-back/", {"words": "Silent again.", "form_key": "again"}
        )
        assert answer.status_code == 303
    again = order.comebacks.get()
    assert again.at_station is Station.GOODS_IN
    assert again.customer == order.customer
    assert order.code in page_of(staff, again)
    assert again.code in page_of(staff, order)


def test_comeback_of_an_open_sheet_is_refused(staff: Client, at: datetime) -> None:
    order = walk.request(at=at)
    answer = staff.post(f"/sheet/{order.code}/came-back/", {"words": "Silent.", "form_key": "again"})
    assert answer.status_code == 422
    assert order.comebacks.count() == 0
