"""Photos and papers on the sheet: kept, shown, served with care."""

import io
from datetime import datetime
from types import SimpleNamespace

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from intake.models import Photo
from tests import walk


def picture(colour: str = "grey", size: tuple[int, int] = (800, 600)) -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return SimpleUploadedFile("fault.jpg", out.getvalue(), content_type="image/jpeg")


@pytest.fixture
def photo(staff: Client, at: datetime) -> Photo:
    order = walk.request(at=at)
    sent = {"photo-role": "fault", "photo-photos": picture(), "photo-caption": "Lifted pad"}
    assert staff.post(f"/sheet/{order.code}/photos/", sent).status_code == 303
    return order.photos.get()


def test_photo_is_served_as_a_picture_and_nothing_else(staff: Client, photo: Photo) -> None:
    answer = staff.get(f"/photo/{photo.pk}/")
    assert answer.content[:2] == b"\xff\xd8"
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert answer.headers["Cache-Control"] == "private, no-store"
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]


def test_small_photo_is_small(staff: Client, photo: Photo) -> None:
    small = Image.open(io.BytesIO(staff.get(f"/photo/{photo.pk}/?px=320").content))
    assert max(small.size) == 320
    assert staff.get(f"/photo/{photo.pk}/?px=99999").status_code == 200


def test_sheet_shows_the_photo_with_its_caption(staff: Client, photo: Photo) -> None:
    page = staff.get(f"/sheet/{photo.order.code}/").content.decode()
    assert f"/photo/{photo.pk}/?px=320" in page and "Lifted pad" in page


def test_ticked_photos_are_shown_and_others_are_not(staff: Client, photo: Photo) -> None:
    path = f"/sheet/{photo.order.code}/photos/shown/"
    staff.post(path, {"shown": [photo.pk, "x", "9" * 30]})
    photo.refresh_from_db()
    assert photo.shown
    staff.post(path, {})
    photo.refresh_from_db()
    assert not photo.shown


def test_photo_of_another_order_is_not_shown_by_a_tick(staff: Client, photo: Photo, at: datetime) -> None:
    other = walk.request(at=at)
    staff.post(f"/sheet/{other.code}/photos/shown/", {"shown": [photo.pk]})
    photo.refresh_from_db()
    assert not photo.shown


def test_photo_form_without_a_photo_says_so(staff: Client, at: datetime) -> None:
    order = walk.request(at=at)
    answer = staff.post(
        f"/sheet/{order.code}/photos/", {"photo-role": "fault", "photo-caption": "Kept words"}
    )
    assert answer.status_code == 422
    assert "Choose a photo first." in answer.content.decode()
    assert "Kept words" in answer.content.decode()


def test_bag_label_is_served_as_pdf(staff: Client, bench: SimpleNamespace, at: datetime) -> None:
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at)
    label = order.papers.get(maker="bag_label")
    answer = staff.get(f"/paper/{label.pk}/")
    assert answer.content.startswith(b"%PDF")
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["Content-Disposition"] == f'inline; filename="{order.code}-bag.pdf"'


def test_paper_that_nobody_can_draw_is_not_found(staff: Client, bench: SimpleNamespace, at: datetime) -> None:
    order = walk.receive(walk.request(at=at), by=bench.technician, at=at)
    paper = order.papers.get(maker="bag_label")
    paper.maker = "nothing"
    paper.save()
    assert staff.get(f"/paper/{paper.pk}/").status_code == 404


def test_sheet_is_printed_as_it_stands(staff: Client, at: datetime) -> None:
    order = walk.request(at=at)
    answer = staff.get(f"/sheet/{order.code}/print/")
    assert answer.content.startswith(b"%PDF")
    assert answer.headers["Content-Disposition"] == f'inline; filename="{order.code}-sheet.pdf"'
