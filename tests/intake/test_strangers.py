"""What a stranger or a double press can do to an order or a request: nothing that hurts another."""

from io import BytesIO

import pytest
from PIL import Image

from intake import album, drafting, staffing, submissions, tokens
from intake.models import Customer, Draft, Letter, Photo
from intake.refusals import Refused
from tests import walk
from tests.files import stored_path


def jpeg(colour="grey"):
    out = BytesIO()
    Image.new("RGB", (40, 30), colour).save(out, "JPEG")
    return out.getvalue()


def add(draft, at, content):
    return album.add_photo(content=content, role="customer", by="customer", at=at, draft=draft)


def file_of(photo):
    return stored_path(photo.sha256, folder="photos", suffix=".jpg")


def test_another_phone_number_never_changes_the_known_customer(letterhead, at):
    first = walk.request(at=at)
    second = walk.request(at=at, phone="555-0199")
    again = walk.request(at=at)
    first.customer.refresh_from_db()
    assert (first.customer.phone, second.customer.phone) == ("555-0101", "555-0199")
    assert again.customer == first.customer != second.customer
    assert Customer.objects.count() == 2


def test_revoked_links_close_the_requests_own_way_in_too(client, letterhead, at):
    draft, token = drafting.start(sender="somebody", at=at)
    order, _ = submissions.submit(answers=walk.answers(), form_key=draft.form_key, at=at, draft=draft)
    assert drafting.find(token, at=at) is not None
    tokens.revoke_links(order, at=at)
    assert drafting.find(token, at=at) is None
    assert Draft.objects.count() == 1


def test_photo_pressed_twice_at_once_is_kept_once_and_the_request_can_be_sent(letterhead, at, monkeypatch):
    draft, _ = drafting.start(sender="somebody", at=at)
    plain = album.file_store.store

    def slow(content, **where):
        """The second press is through before the first is written."""
        monkeypatch.setattr(album.file_store, "store", plain)
        add(draft, at, jpeg())
        return plain(content, **where)

    monkeypatch.setattr(album.file_store, "store", slow)
    add(draft, at, jpeg())
    assert draft.photos.count() == 1
    order, _ = submissions.submit(answers=walk.answers(), form_key=draft.form_key, at=at, draft=draft)
    assert order.photos.count() == 1 and Letter.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_file_of_a_removed_photo_goes_unless_another_shows_it(at):
    mine, _ = drafting.start(sender="somebody", at=at)
    other, _ = drafting.start(sender="somebody", at=at)
    kept, gone = add(mine, at, jpeg("green")), add(mine, at, jpeg("blue"))
    add(other, at, jpeg("green"))
    for photo in (kept, gone):
        album.remove_from_draft(draft=mine, photo_id=photo.pk)
    assert Photo.objects.count() == 1
    assert (file_of(kept).exists(), file_of(gone).exists()) == (True, False)


def test_name_to_sign_in_with_fits_where_it_is_written(owner, at):
    given = staffing.Particulars("Tarn", "Long", "TL", "technician")
    for length, taken in ((41, False), (40, True)):
        try:
            staffing.add_person(
                username="n" * length, given=given, password="solder-and-patience", by=owner, at=at
            )
        except Refused as refusal:
            assert refusal.field == "username" and not taken
        else:
            assert taken
