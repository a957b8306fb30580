"""Photos on a sheet: re-encoded, kept once, shown only when they were chosen."""

import io

import pytest
from PIL import Image

from intake import album
from intake.models import HistoryEntry, Photo
from intake.refusals import Refused
from tests import walk


@pytest.fixture
def order(bench, at):
    return walk.request(at=at)


def picture(colour="red"):
    out = io.BytesIO()
    Image.new("RGB", (40, 30), colour).save(out, "PNG")
    return out.getvalue()


def add(order, at, content=None, role="fault"):
    return album.add_photo(content=content or picture(), role=role, by="pim", at=at, order=order)


def test_photo_is_kept_re_encoded_and_stands_in_the_history(order, at):
    photo = add(order, at)
    assert album.photo_bytes(photo).startswith(b"\xff\xd8")
    assert (photo.width, photo.height, photo.shown) == (40, 30, False)
    assert HistoryEntry.objects.get(what="photo").facts == {"role": "fault", "sha256": photo.sha256}


def test_same_picture_in_the_same_role_is_kept_once(order, at):
    assert add(order, at) == add(order, at)
    assert add(order, at, role="after") != add(order, at)
    assert Photo.objects.count() == 2


def test_file_that_is_no_picture_is_refused_beside_its_field(order, at):
    with pytest.raises(Refused) as refused:
        add(order, at, content=b"%PDF-1.7 not a picture")
    assert refused.value.field == "photos"
    assert not Photo.objects.exists()


def test_album_has_an_end(order, at, monkeypatch):
    monkeypatch.setattr(album, "MOST_AN_ORDER", 1)
    add(order, at)
    with pytest.raises(Refused, match="1 photos already"):
        add(order, at, content=picture("blue"))


def test_customer_sees_exactly_what_was_chosen_and_always_their_own(order, at):
    own = add(order, at, picture("green"), role=Photo.Role.CUSTOMER)
    Photo.objects.filter(pk=own.pk).update(shown=True)
    first, second = add(order, at), add(order, at, picture("blue"))
    for chosen in ([first.pk], [second.pk]):
        album.show_to_customer(order=order, photo_ids=chosen, by="pim", at=at)
        assert set(order.photos.filter(shown=True).values_list("pk", flat=True)) == {own.pk, *chosen}


def test_photo_of_another_order_cannot_be_shown(order, at):
    other = walk.request(at=at)
    photo = add(other, at)
    album.show_to_customer(order=order, photo_ids=[photo.pk], by="pim", at=at)
    photo.refresh_from_db()
    assert not photo.shown


def test_photo_belongs_somewhere(db, at):
    with pytest.raises(ValueError, match="order or a draft"):
        album.add_photo(content=picture(), role="fault", by="pim", at=at)
