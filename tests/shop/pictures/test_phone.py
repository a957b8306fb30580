"""The bench phone: a pass for half an hour, one order, no sign-in; its secret is kept nowhere."""

import hashlib
import logging
from collections.abc import Callable
from datetime import datetime, timedelta
from types import SimpleNamespace

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client

from intake import drain
from intake.models import HistoryEntry, Order, Photo
from intake.refusals import Refused
from intake.stations import Station
from shop.models import PhonePass
from shop.pictures import phone, phone_views
from tests import walk
from tests.shop.pictures.conftest import jpeg

JSON = {"HTTP_ACCEPT": "application/json"}


def upload(colour: str = "black", name: str = "one.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, jpeg(colour), content_type="image/jpeg")


@pytest.fixture
def let_in(order: Order, bench: SimpleNamespace) -> PhonePass:
    return phone.open_pass(order=order, role="fault", by=bench.technician, at=drain.now())


@pytest.fixture
def handset(let_in: PhonePass) -> Client:
    """A phone that has opened the code and is signed in nowhere."""
    client = Client()
    answer = client.get(f"/phone/{phone.secret_of(let_in)}/")
    assert (answer.status_code, answer["Location"]) == (303, "/phone/")
    return client


def added(order: Order) -> list[Photo]:
    return list(order.photos.filter(role__in=["fault", "after"]))


def test_secret_is_long_and_only_its_digest_is_kept(let_in: PhonePass) -> None:
    secret = phone.secret_of(let_in)
    assert len(secret) == 43
    assert let_in.digest == hashlib.sha256(secret.encode()).hexdigest()
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names():
            cursor.execute(f'SELECT * FROM "{table}"')  # noqa: S608 -- the database's own names
            assert secret not in str(cursor.fetchall()), table


def test_two_passes_have_two_secrets_and_the_first_ends(
    let_in: PhonePass, order: Order, bench: SimpleNamespace
) -> None:
    at = drain.now()
    second = phone.open_pass(order=order, role="after", by=bench.technician, at=at)
    assert phone.secret_of(second) != phone.secret_of(let_in)
    assert phone.find_pass(phone.secret_of(let_in), at=at) is None
    assert phone.find_pass(phone.secret_of(second), at=at) == second


def test_secret_is_nothing_under_another_key(let_in: PhonePass, settings: object) -> None:
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = "another", []  # type: ignore[attr-defined]
    assert phone.secret_of(let_in) == ""


def test_pass_ends_after_half_an_hour(let_in: PhonePass) -> None:
    secret = phone.secret_of(let_in)
    assert phone.find_pass(secret, at=let_in.made_at + timedelta(minutes=29, seconds=59)) is not None
    assert phone.find_pass(secret, at=let_in.made_at + timedelta(minutes=30)) is None


def test_pass_ends_when_the_order_leaves(let_in: PhonePass, order: Order) -> None:
    Order.objects.filter(pk=order.pk).update(station=Station.WAY_HOME)
    assert phone.find_pass(phone.secret_of(let_in), at=drain.now()) is None


def test_order_that_has_left_gets_no_pass(order: Order, bench: SimpleNamespace) -> None:
    Order.objects.filter(pk=order.pk).update(station=Station.WAY_HOME)
    with pytest.raises(Refused, match="has left"):
        phone.open_pass(order=order, role="fault", by=bench.technician, at=drain.now())


def test_phones_page_says_nothing_of_the_customer(handset: Client, order: Order) -> None:
    answer = handset.get("/phone/")
    page = answer.content.decode()
    assert order.code in page and f"Bag {order.bag}" in page
    for private in (order.customer.name, order.customer.email, order.device.what, order.words):
        assert not private or private not in page
    assert answer.headers["Cache-Control"] == "private, no-store"
    assert '<option value="customer">' not in page


def test_link_is_kept_private(let_in: PhonePass, client: Client) -> None:
    answer = client.get(f"/phone/{phone.secret_of(let_in)}/")
    assert answer.headers["Referrer-Policy"] == "same-origin"
    assert "no-store" in answer.headers["Cache-Control"]
    assert answer.headers["X-Robots-Tag"] == "noindex, nofollow"


def test_many_photos_come_in_at_once(handset: Client, order: Order) -> None:
    sent = {"role": "after", "photos": [upload("black", "a.jpg"), upload("white", "b.jpg")]}
    answer = handset.post("/phone/send/", sent)
    assert (answer.status_code, answer["Location"]) == (303, "/phone/")
    assert [(row.role, row.taken_by, row.shown) for row in added(order)] == [("after", "pim", False)] * 2


def test_script_is_answered_in_json_and_a_repeat_is_kept_once(handset: Client, order: Order) -> None:
    for _ in range(2):
        answer = handset.post("/phone/send/", {"role": "fault", "photos": upload()}, **JSON)
        assert (answer.status_code, answer.json()["kept"]) == (200, 1)
    assert len(added(order)) == 1


def test_bad_file_is_named_and_good_ones_are_kept(handset: Client, order: Order) -> None:
    def bad() -> SimpleUploadedFile:
        return SimpleUploadedFile("notes.jpg", b"not a picture", content_type="image/jpeg")

    answer = handset.post("/phone/send/", {"role": "fault", "photos": [upload(), bad()]})
    assert answer.status_code == 422
    assert "notes.jpg: This is not a picture we can open." in answer.content.decode()
    assert len(added(order)) == 1
    answer = handset.post("/phone/send/", {"role": "fault", "photos": bad()}, **JSON)
    assert answer.status_code == 422 and answer.json()["error"].startswith("notes.jpg:")


@pytest.mark.parametrize("sent", [{"role": "fault"}, {"role": "customer", "photos": upload}])
def test_nothing_and_a_role_of_the_customers_are_refused(
    handset: Client, order: Order, sent: dict[str, object]
) -> None:
    given = {name: value() if callable(value) else value for name, value in sent.items()}
    assert handset.post("/phone/send/", given).status_code == 422
    assert not added(order)


def test_photo_that_is_too_large_is_not_opened(
    handset: Client, order: Order, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(phone_views, "MOST_BYTES", 10)
    answer = handset.post("/phone/send/", {"role": "fault", "photos": upload()}, **JSON)
    assert "the most a photo may have" in answer.json()["error"]
    assert not added(order)


def test_very_many_photos_are_slowed(handset: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(phone_views, "PHOTOS_IN_TEN_MINUTES", 1)
    sent = {"role": "fault", "photos": [upload("black"), upload("white")]}
    assert "Wait a little" in handset.post("/phone/send/", sent).content.decode()


def test_stranger_learns_only_that_the_code_has_run_out(client: Client, db: None) -> None:
    answer = client.get("/phone/no-such-code/")
    assert answer.status_code == 404
    assert "The code has run out" in answer.content.decode()
    assert client.get("/phone/").status_code == 404
    told = client.post("/phone/send/", {"role": "fault", "photos": upload()}, **JSON)
    assert (told.status_code, told.json()["gone"]) == (404, True)


def test_guessing_is_slowed(client: Client, db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(phone_views, "MISSES_A_MINUTE", 2)
    assert [client.get(f"/phone/guess-{number}/").status_code for number in range(3)] == [404, 404, 429]


def test_secret_of_a_dead_pass_is_not_logged(
    let_in: PhonePass, client: Client, caplog: pytest.LogCaptureFixture
) -> None:
    secret = phone.secret_of(let_in)
    phone.end_pass(row=let_in, by="pim", at=drain.now())
    with caplog.at_level(logging.DEBUG):
        assert client.get(f"/phone/{secret}/").status_code == 404
    assert secret not in caplog.text


def test_open_page_of_a_pass_that_ended_takes_no_more(
    handset: Client, let_in: PhonePass, order: Order
) -> None:
    phone.end_pass(row=let_in, by="pim", at=drain.now())
    assert handset.post("/phone/send/", {"role": "fault", "photos": upload()}, **JSON).status_code == 404
    assert not added(order)


def test_page_opened_in_time_is_refused_too_late(handset: Client, let_in: PhonePass, order: Order) -> None:
    with time_machine.travel(let_in.expires_at + timedelta(seconds=1), tick=False):
        assert handset.get("/phone/").status_code == 404
    with pytest.raises(Refused, match="run out"):
        phone.take_photo(row=let_in, content=jpeg(), role="fault", at=let_in.expires_at)
    assert not added(order)


def test_phone_says_done(handset: Client, let_in: PhonePass) -> None:
    assert "This phone can add no more" in handset.post("/phone/done/").content.decode()
    let_in.refresh_from_db()
    assert let_in.ended_at is not None
    assert handset.get("/phone/").status_code == 404
    assert HistoryEntry.objects.filter(what="phone pass ended").count() == 1


def test_form_without_its_token_is_refused(let_in: PhonePass) -> None:
    client = Client(enforce_csrf_checks=True)
    client.get(f"/phone/{phone.secret_of(let_in)}/")
    assert client.post("/phone/send/", {"role": "fault", "photos": upload()}).status_code == 403


def test_technician_makes_a_code_and_lets_the_phone_out(staff: Client, order: Order) -> None:
    made = staff.post(f"/sheet/{order.code}/phone/")
    row = PhonePass.objects.get()
    address = f"/sheet/{order.code}/phone/{row.pk}/"
    assert (made.status_code, made["Location"]) == (303, address)
    page = staff.get(address).content.decode()
    assert f"http://testserver/phone/{phone.secret_of(row)}/" in page
    assert "data:image/svg+xml" in page
    assert staff.post(f"{address}end/").status_code == 303
    after = staff.get(address).content.decode()
    assert "This code has run out" in after and phone.secret_of(row) not in after


def test_role_is_the_usual_one_of_the_station(staff: Client, order: Order) -> None:
    staff.post(f"/sheet/{order.code}/phone/")
    assert PhonePass.objects.get().role == "fault"


def test_photos_that_came_in_are_shown_and_asking_stops_at_the_end(
    staff: Client, handset: Client, let_in: PhonePass, order: Order
) -> None:
    asked = f"/sheet/{order.code}/phone/{let_in.pk}/arrived/"
    assert "None yet." in staff.get(asked).content.decode()
    handset.post("/phone/send/", {"role": "fault", "photos": upload()})
    assert "1 photo." in staff.get(asked).content.decode()
    phone.end_pass(row=let_in, by="pim", at=drain.now())
    assert staff.get(asked).status_code == phone_views.STOP_ASKING


def test_code_of_another_order_is_not_shown(staff: Client, let_in: PhonePass, at: datetime) -> None:
    other = walk.request(at=at)
    assert staff.get(f"/sheet/{other.code}/phone/{let_in.pk}/").status_code == 404


def test_strangers_cannot_make_or_see_a_code(client: Client, let_in: PhonePass, order: Order) -> None:
    assert client.post(f"/sheet/{order.code}/phone/").status_code == 302
    for end in ("", "arrived/"):
        assert client.get(f"/sheet/{order.code}/phone/{let_in.pk}/{end}").status_code == 302


def test_code_page_opened_as_localhost_says_that_no_phone_finds_it(
    staff: Client, let_in: PhonePass, order: Order, settings: object
) -> None:
    settings.ALLOWED_HOSTS = ["localhost", "testserver"]  # type: ignore[attr-defined]
    page = staff.get(f"/sheet/{order.code}/phone/{let_in.pk}/", HTTP_HOST="localhost").content.decode()
    assert "A phone cannot find this address" in page


def test_sheet_at_home_offers_no_phone(staff: Client, order: Order, snap: Callable[..., Photo]) -> None:
    snap()
    assert "Photos by phone" in staff.get(f"/sheet/{order.code}/").content.decode()
    Order.objects.filter(pk=order.pk).update(station=Station.WAY_HOME)
    assert "Photos by phone" not in staff.get(f"/sheet/{order.code}/pictures/").content.decode()


def test_page_of_an_earlier_code_sends_nothing_to_another_sheet(
    handset: Client, order: Order, bench: SimpleNamespace, at: datetime
) -> None:
    other = walk.to(walk.request(at=at), Station.REPAIR, by=bench.technician, at=at)
    other_pass = phone.open_pass(order=other, role="fault", by=bench.technician, at=drain.now())
    page = handset.get("/phone/").content.decode()
    assert page.count(f'name="sheet" value="{order.code}"') == 2
    handset.get(f"/phone/{phone.secret_of(other_pass)}/")
    sent = {"sheet": order.code, "role": "fault", "photos": upload()}
    assert handset.post("/phone/send/", sent, **JSON).json()["gone"]
    assert handset.post("/phone/done/", {"sheet": order.code}).status_code == 404
    other_pass.refresh_from_db()
    assert not added(other) and other_pass.ended_at is None
    assert handset.post("/phone/send/", {**sent, "sheet": other.code, "photos": upload()}).status_code == 303
    assert len(added(other)) == 1
