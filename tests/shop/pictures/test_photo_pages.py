"""The pages of photos: marks by form, words, and what the customer sees, one photo at a time."""

from collections.abc import Callable
from datetime import datetime
from types import SimpleNamespace
from urllib.parse import urlsplit

import pytest
from django.test import Client

from intake import album, drain, tokens
from intake.models import HistoryEntry, Order, Photo
from shop.models import PhotoMark
from shop.pictures import choosing, marked, marks
from shop.pictures.geometry import Mark
from shop.pictures.marks import Said
from tests.shop.pictures.test_marks import read_in


def page_of(photo: Photo) -> str:
    return f"/sheet/{photo.order.code}/photo/{photo.pk}/"


def draw(photo: Photo, by: object, at: datetime, words: str = "torn pad") -> PhotoMark:
    mark = Mark("ring", 500, 500, 600, 500)
    return marks.add(photo=photo, mark=mark, said=Said(words=words), key=f"k{photo.pk}", by=by, at=at)


GIVEN = {"kind": "ring", "x": "50", "y": "40.5", "words": "torn pad", "key": "k"}


def test_mark_is_drawn_by_figures(staff: Client, photo: Photo) -> None:
    answer = staff.post(page_of(photo) + "mark/", GIVEN)
    assert (answer.status_code, answer["Location"]) == (303, f"{page_of(photo)}#place")
    row = PhotoMark.objects.get()
    assert (row.x, row.y, row.to_x, row.to_y) == (500, 405, 560, 405)
    page = staff.get(page_of(photo)).content.decode()
    assert "Ring in the middle: torn pad" in page


def test_mark_is_drawn_by_a_square(staff: Client, photo: Photo) -> None:
    staff.post(page_of(photo) + "mark/", {**GIVEN, "x": "", "y": "", "square": "a1"})
    assert PhotoMark.objects.values_list("x", "y").get() == (56, 56)


def test_arrow_goes_from_its_second_place_to_its_first(staff: Client, photo: Photo) -> None:
    staff.post(page_of(photo) + "mark/", {**GIVEN, "kind": "arrow", "to_x": "10 %", "to_y": "20,5"})
    row = PhotoMark.objects.get()
    assert (row.x, row.y, row.to_x, row.to_y) == (100, 205, 500, 405)


def test_number_is_tied_to_a_reading_and_says_its_point(
    staff: Client, photo: Photo, bench: SimpleNamespace, at: datetime
) -> None:
    reading = read_in(photo.order, bench.technician, at)
    staff.post(page_of(photo) + "mark/", {**GIVEN, "kind": "number", "words": "", "reading": reading.pk})
    row = PhotoMark.objects.get()
    assert (row.number, row.words, row.reading) == (1, "boost out", reading)
    assert "1: boost out, 0.452 V, open" in staff.get(page_of(photo)).content.decode()


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"x": "", "y": ""}, "Say where: two figures, or a square."),
        ({"x": "101"}, "Write a figure from 0 to 100."),
        ({"x": "left"}, "Write a figure from 0 to 100."),
        ({"square": "Z9"}, "A square is a letter from A to I"),
        ({"to_x": "5"}, "A second place needs both figures, or neither."),
        ({"kind": "number", "number": "100"}, "less than or equal to 99"),
        ({"kind": "star"}, "Select a valid choice"),
    ],
)
def test_mark_with_a_slip_is_asked_for_again(
    staff: Client, photo: Photo, changes: dict[str, str], sentence: str
) -> None:
    answer = staff.post(page_of(photo) + "mark/", {**GIVEN, **changes})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page and "torn pad" in page
    assert not PhotoMark.objects.exists()


def test_mark_comes_off_and_back_by_its_buttons(
    staff: Client, photo: Photo, bench: SimpleNamespace, at: datetime
) -> None:
    row = draw(photo, bench.technician, at)
    assert staff.post(f"{page_of(photo)}mark/{row.pk}/off/").status_code == 303
    assert "1 mark taken off" in staff.get(page_of(photo)).content.decode()
    staff.post(f"{page_of(photo)}mark/{row.pk}/back/")
    assert "taken off" not in staff.get(page_of(photo)).content.decode()


def test_squares_are_shown_when_asked_for(staff: Client, photo: Photo) -> None:
    assert ">I9</text>" in staff.get(page_of(photo) + "?squares=1").content.decode()
    assert "</text>" not in staff.get(page_of(photo)).content.decode()


def test_photo_of_another_order_has_no_page_here(staff: Client, photo: Photo, at: datetime) -> None:
    from tests import walk  # noqa: PLC0415 -- one test needs a second order

    other = walk.request(at=at)
    assert staff.get(f"/sheet/{other.code}/photo/{photo.pk}/").status_code == 404
    assert staff.post(f"/sheet/{other.code}/photo/{photo.pk}/mark/", GIVEN).status_code == 404


def test_strangers_are_asked_to_sign_in(client: Client, photo: Photo) -> None:
    for path in (page_of(photo), f"/sheet/{photo.order.code}/pictures/"):
        assert client.get(path).status_code == 302
    assert client.post(page_of(photo) + "mark/", GIVEN).status_code == 302
    assert not PhotoMark.objects.exists()


def test_marked_copy_is_served_when_asked_for(
    staff: Client, photo: Photo, bench: SimpleNamespace, at: datetime
) -> None:
    draw(photo, bench.technician, at)
    assert staff.get(f"/photo/{photo.pk}/").content == album.photo_bytes(photo)
    assert staff.get(f"/photo/{photo.pk}/?marked=1").content == marked.bytes_of(photo)


def test_role_and_caption_are_corrected(staff: Client, photo: Photo) -> None:
    answer = staff.post(page_of(photo) + "words/", {"role": "before", "caption": "Pad, lifted"})
    assert answer.status_code == 303
    photo.refresh_from_db()
    assert (photo.role, photo.caption) == ("before", "Pad, lifted")
    assert HistoryEntry.objects.get(what="photo described").facts["before"]["role"] == "fault"


def test_role_of_a_double_is_refused(staff: Client, photo: Photo, snap: Callable[..., Photo]) -> None:
    snap(role="before")
    answer = staff.post(page_of(photo) + "words/", {"role": "before", "caption": "typed"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "The same picture is on the sheet with that role already." in page and "typed" in page


def test_customers_own_photo_keeps_its_role_and_is_never_hidden(
    staff: Client, snap: Callable[..., Photo]
) -> None:
    photo = snap(role="customer", shown=True)
    assert staff.post(page_of(photo) + "words/", {"role": "fault", "caption": ""}).status_code == 422
    page = staff.post(page_of(photo) + "customer/", {"do": "hide"}, follow=True).content.decode()
    assert "They always see it." in page
    photo.refresh_from_db()
    assert photo.shown and photo.role == "customer"


def test_one_photo_is_shown_and_no_other_changes(staff: Client, snap: Callable[..., Photo]) -> None:
    one, other = snap("black"), snap("white", shown=True)
    staff.post(page_of(one) + "customer/", {"do": "show"})
    assert set(Photo.objects.filter(shown=True)) == {one, other}
    staff.post(page_of(other) + "customer/", {"do": "hide", "back": "photos"})
    assert set(Photo.objects.filter(shown=True)) == {one}
    entry = HistoryEntry.objects.get(what="photo shown")
    assert entry.facts["copy"] == one.sha256


def test_two_tabs_do_not_undo_each_other(staff: Client, snap: Callable[..., Photo]) -> None:
    """Both pages were drawn while nothing was shown; each ticks its own photo."""
    one, other = snap("black"), snap("white")
    path = f"/sheet/{one.order.code}/photos/shown/"
    staff.post(path, {"was": [""], "shown": [one.pk]})
    staff.post(path, {"was": [""], "shown": [other.pk]})
    assert Photo.objects.filter(shown=True).count() == 2
    staff.post(path, {"was": ["", one.pk], "shown": []})
    assert list(Photo.objects.filter(shown=True)) == [other]


def test_same_thing_twice_is_told_once(photo: Photo, bench: SimpleNamespace, at: datetime) -> None:
    for _ in range(2):
        choosing.show_one(photo=photo, by=bench.technician, at=at)
    assert HistoryEntry.objects.filter(what="photo shown").count() == 1


def window(order: Order, at: datetime) -> tuple[Client, str]:
    browser = Client()
    browser.get(urlsplit(tokens.address_of(tokens.give_link(order, at=at))).path)
    return browser, f"/your/{order.code}/"


def test_customer_sees_the_marked_copy_and_never_the_photo_under_it(
    photo: Photo, bench: SimpleNamespace, staff: Client
) -> None:
    now = drain.now()
    draw(photo, bench.technician, now)
    browser, address = window(photo.order, now)
    own = f"{address}photo/{photo.pk}/"
    assert browser.get(own).status_code == 404
    choosing.show_one(photo=photo, by=bench.technician, at=now)
    answer = browser.get(own)
    assert answer.status_code == 200
    assert answer.content == marked.bytes_of(photo) != album.photo_bytes(photo)
    small = browser.get(own + "?px=320").content
    assert small != browser.get(own).content
    assert browser.get(own + "?marked=").content == marked.bytes_of(photo)


def test_preview_reads_as_the_window_does(photo: Photo, bench: SimpleNamespace, staff: Client) -> None:
    now = drain.now()
    draw(photo, bench.technician, now)
    alt = "The fault: Lifted pad. Marked: Ring in the middle: torn pad"
    page = staff.get(page_of(photo)).content.decode()
    assert page.count(alt) >= 3
    assert "They do not see this photo." in page
    assert "<li>Ring in the middle: torn pad</li>" in page.split("What the customer sees")[1]


def test_letter_carries_the_marked_copy(photo: Photo, bench: SimpleNamespace, at: datetime) -> None:
    draw(photo, bench.technician, at)
    letter = photo.order.letters.first() or pytest.fail("the order has no letter")
    letter.photos.add(photo)
    parts = [part for part in drain.render(letter).attachments if part[0] == "photo-1.jpg"]
    assert parts[0][1] == marked.bytes_of(photo)


def test_all_photos_are_listed_with_a_switch_each(staff: Client, snap: Callable[..., Photo]) -> None:
    one, other = snap("black"), snap("white", shown=True)
    page = staff.get(f"/sheet/{one.order.code}/pictures/").content.decode()
    assert page.count("Show it<span") == 1 and page.count("Hide it<span") == 1
    assert f'id="photo-{other.pk}"' in page


def test_order_without_photos_says_what_will_show_here(staff: Client, order: Order) -> None:
    Photo.objects.filter(order=order).delete()
    assert "No photos yet" in staff.get(f"/sheet/{order.code}/pictures/").content.decode()
