"""Station 20 at the desk: expected parcels, the opening line, parcels without a form."""

import io
from datetime import datetime
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from intake.models import Order
from intake.stations import SlipReason, Station
from tests import walk


@pytest.fixture
def desk(bench: SimpleNamespace) -> Client:
    client = Client()
    client.force_login(bench.technician)
    return client


def picture(name: str = "box.jpg", colour: str = "grey") -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), colour).save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), content_type="image/jpeg")


def opened(order: Order, **changes: Any) -> dict[str, Any]:
    return {
        "version": order.version,
        "parcel_state": "sound",
        "contents": ["Phone"],
        "extra": "Charger\n\nSIM card",
        "marks": ["Corner dented"],
        "condition": "Glass whole",
        "serial_read": "zz 0417",
        "cell_state": "sound",
        "weight_grams": "310",
        "bag": "b7",
        "minutes": "6",
        **changes,
    }


def post(desk: Client, order: Order, **changes: Any) -> Any:
    return desk.post(f"/sheet/{order.code}/goods-in/", opened(order, **changes))


def test_receive_writes_down_what_was_in_the_parcel(desk: Client, at: datetime) -> None:
    order = walk.request(at=at)
    answer = post(desk, order, outside=picture())
    assert answer.status_code == 303
    order.refresh_from_db()
    assert (order.at_station, order.bag) == (Station.DIAGNOSIS, "B-07")
    assert order.arrival.contents == [
        {"what": "Phone", "announced": True, "here": True},
        {"what": "Sleeve", "announced": True, "here": False},
        {"what": "Charger", "announced": False, "here": True},
        {"what": "SIM card", "announced": False, "here": True},
    ]
    assert order.arrival.condition == "Corner dented. Glass whole"
    assert order.arrival.serial_matches == "same"
    assert order.photos.get().role == "outside"
    assert order.letters.filter(kind="arrived").count() == 1


def test_receive_offers_label_and_says_what_is_missing(desk: Client, at: datetime) -> None:
    order = walk.request(at=at)
    page = desk.get(post(desk, order).url).content.decode()
    assert "Print: Bag label" in page
    label = order.papers.get(maker="bag_label")
    assert f'Taken in, in bag B-07. Print now: <a href="/paper/{label.pk}/">Bag label</a>.' in page
    assert "Missing: Sleeve." in page


def test_receive_with_a_swollen_cell_holds_the_order(desk: Client, at: datetime) -> None:
    order = walk.request(at=at)
    page = desk.get(post(desk, order, cell_state="swollen").url).content.decode()
    assert order.slips.get().reason == SlipReason.QUARANTINE
    assert "Print: Quarantine slip" in page
    notice = page.split('id="notices"')[1].split("</p>")[0]
    assert ">Bag label</a>" in notice and ">Quarantine slip</a>" in notice


def test_receive_with_another_serial_holds_the_order(desk: Client, at: datetime) -> None:
    order = walk.request(at=at)
    post(desk, order, serial_read="OTHER-9")
    assert order.slips.get().reason == SlipReason.WRONG_DEVICE


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"weight_grams": "-5"}, "The weight is between 1 and 50,000 grams."),
        ({"weight_grams": "NaN"}, "Write the weight as whole grams, such as 310."),
        ({"weight_grams": "9" * 400}, "The weight is between 1 and 50,000 grams."),
        ({"cell_state": ""}, "Look at the battery, and say what you saw."),
        ({"parcel_state": ""}, "Say how the parcel looks from outside."),
        ({"bag": ""}, "Every device has its own bag."),
        ({"minutes": "1e9"}, "Write whole minutes, such as 6."),
        ({"extra": "x\n" * 30}, "At most 20 things"),
        ({"condition": "a" * 10_000}, "at most 1000 characters"),
    ],
)
def test_receive_of_bad_input_keeps_what_was_typed(
    desk: Client, at: datetime, changes: dict[str, str], words: str
) -> None:
    order = walk.request(at=at)
    answer = post(desk, order, parcel_words="Tape is torn", **changes)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert words in page
    assert "Tape is torn" in page
    order.refresh_from_db()
    assert order.at_station is Station.GOODS_IN


def test_receive_into_a_bag_in_use_names_its_holder(
    desk: Client, bench: SimpleNamespace, at: datetime
) -> None:
    first = walk.receive(walk.request(at=at), by=bench.technician, at=at, bag="B-07")
    answer = post(desk, walk.request(at=at))
    assert answer.status_code == 422
    assert f"Bag B-07 holds {first.code}" in answer.content.decode()


def test_receive_keeps_the_photos_where_another_field_is_wrong(desk: Client, at: datetime) -> None:
    order = walk.request(at=at)
    assert post(desk, order, bag="", opening=picture()).status_code == 422
    assert order.photos.get().role == "opening"


def test_receive_of_a_text_named_jpg_says_so_beside_the_field(desk: Client, at: datetime) -> None:
    order = walk.request(at=at)
    fake = SimpleUploadedFile("note.jpg", b"not a picture at all", content_type="image/jpeg")
    answer = post(desk, order, identity=fake)
    assert answer.status_code == 422
    assert "note.jpg: This is not a picture we can open." in answer.content.decode()
    assert order.photos.count() == 0


def test_photos_alone_are_kept_and_the_rest_is_not_judged(desk: Client, at: datetime) -> None:
    order = walk.request(at=at)
    answer = post(desk, order, bag="", condition="Half way", photos_only="1", outside=picture())
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Half way" in page and "Every device has its own bag" not in page
    assert 'value="Corner dented" id="id_marks_2" checked' in page.replace("required ", "")
    assert order.photos.count() == 1


def test_second_technician_on_one_sheet_is_told_and_loses_nothing(desk: Client, at: datetime) -> None:
    order = walk.request(at=at)
    assert post(desk, order).status_code == 303
    answer = post(desk, order, condition="Hairline over the camera", bag="B-09")
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "taken in already" in page
    assert "Hairline over the camera" in page
    order.refresh_from_db()
    assert order.bag == "B-07"


def test_compare_of_a_serial_changes_nothing(desk: Client, at: datetime) -> None:
    order = walk.request(at=at)
    same = desk.get(f"/sheet/{order.code}/serial/?serial_read=zz0417").content.decode()
    other = desk.get(f"/sheet/{order.code}/serial/?serial_read=QQ1").content.decode()
    assert "is the one on the form" in same
    assert "is not the one on the form" in other
    assert order.slips.count() == 0


def test_receiving_lists_posted_parcels_first(desk: Client, at: datetime) -> None:
    quiet, posted = walk.request(at=at), walk.request(at=at)
    Order.objects.filter(pk=posted.pk).update(posted_at=at)
    page = desk.get("/receiving/").content.decode()
    assert page.index(posted.code) < page.index(quiet.code)


def test_receiving_with_nothing_expected_says_what_shows_here(desk: Client) -> None:
    assert "No parcels expected" in desk.get("/receiving/").content.decode()


def test_parcel_without_a_form_starts_one_sheet(desk: Client) -> None:
    typed = {"kind": "tablet", "make": "Oblivu", "words": "dead", "form_key": "k1"}
    answers = [desk.post("/receiving/start/", typed) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    order = Order.objects.get()
    assert (order.at_station, order.customer) == (Station.GOODS_IN, None)
    assert not order.lines.filter(station=Station.REQUEST).exists()
    assert ">Who sent it<" in desk.get(answers[0].url).content.decode()


def test_parcel_without_a_form_keeps_what_was_typed_where_the_mail_is_wrong(desk: Client) -> None:
    answer = desk.post(
        "/receiving/start/", {"kind": "phone", "words": "a note", "email": "nope", "form_key": "k"}
    )
    assert answer.status_code == 422
    assert "That is not an e-mail address." in answer.content.decode()
    assert "a note" in answer.content.decode()
    assert Order.objects.count() == 0


def test_sender_found_later_gets_the_letter_about_the_arrival(desk: Client, at: datetime) -> None:
    desk.post("/receiving/start/", {"kind": "phone", "form_key": "k1"})
    order = Order.objects.get()
    post(desk, order, contents=[])
    assert order.letters.count() == 0
    sender = {"name": "Ona Brask", "email": "ona.brask@example.com", "street": "1 Nowhere", "country": "us"}
    desk.post(f"/sheet/{order.code}/sender/", {f"sender-{key}": value for key, value in sender.items()})
    order.refresh_from_db()
    assert order.letters.get().kind == "arrived"
    assert order.return_address.country == "US"
    assert ">Who sent it<" not in desk.get(f"/sheet/{order.code}/").content.decode()


def test_call_off_closes_the_sheet(desk: Client, at: datetime) -> None:
    order = walk.request(at=at)
    desk.post(f"/sheet/{order.code}/call-off/", {"version": order.version})
    order.refresh_from_db()
    assert (order.at_station, order.outcome) == (Station.HOME, "withdrawn")


def test_text_that_is_being_typed_is_kept_on_the_server(desk: Client, at: datetime) -> None:
    order = walk.request(at=at)
    typed = opened(order, condition="Half a sentence", marks=["Scratches"], bag="B-33")
    assert desk.post(f"/sheet/{order.code}/goods-in/keep/", typed).json() == {"kept": True}
    page = desk.get(f"/sheet/{order.code}/").content.decode()
    assert "Half a sentence" in page and 'value="B-33"' in page
    assert page.count("checked") == len(["sound parcel", "Phone", "Scratches", "sound cell"])


def test_text_typed_for_a_signed_station_is_answered_gently(desk: Client, at: datetime) -> None:
    order = walk.request(at=at)
    post(desk, order)
    answer = desk.post(f"/sheet/{order.code}/goods-in/keep/", {"condition": "late"})
    assert answer.status_code == 409
