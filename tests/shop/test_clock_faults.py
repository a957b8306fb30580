"""The clock when something is wrong: one quote never stops another, an answer is not reminded of, files go too."""

from datetime import UTC, datetime, timedelta
from io import BytesIO

import pytest
from PIL import Image

from intake import album, drafting
from intake.models import Photo
from intake.stations import Station
from quotes import offers
from quotes.refusals import Refused
from shop import clock
from shop.banking import holding
from shop.clock_marks import claim
from tests import walk
from tests.files import stored_path


@pytest.mark.parametrize(("what", "days"), [("remind", 4), ("lapse", 60)])
def test_one_failing_quote_does_not_stop_the_others(bench, at, monkeypatch, caplog, what, days):
    orders = [
        walk.to(walk.request(at=at, name=name), Station.GO_AHEAD, by=bench.technician, at=at)
        for name in ("First", "Second")
    ]
    real, bad = getattr(offers, what), orders[0].quotes.get()

    def deed(*, quote, **other):
        if quote.pk == bad.pk:
            raise RuntimeError("a quote that cannot be told of")
        return real(quote=quote, **other)

    monkeypatch.setattr(offers, what, deed)
    done = clock.tick(at=at + timedelta(days=days))
    assert done["reminders" if what == "remind" else "lapsed"] == 1
    assert f"quote {bad.pk} failed" in caplog.text


def test_statement_that_was_only_looked_at_goes_after_a_day_though_none_follows(db):
    digest, today = holding.hold(b"Mara Quillfeather paid"), datetime.now(UTC)
    clock.tick_long(at=today)
    assert holding.held(digest)
    clock.tick_long(at=today + timedelta(days=2))
    with pytest.raises(Refused):
        holding.held(digest)


def test_long_work_of_a_clock_that_was_ahead_begins_again(db, at):
    day, minute = timedelta(days=1), timedelta(minutes=1)
    assert claim("keeping", at=at + 300 * day, every=day)
    assert claim("keeping", at=at, every=day)
    assert not claim("keeping", at=at + minute, every=day)
    assert not claim("keeping", at=at - minute, every=day), "another machine's clock is a little behind"


def test_quote_answered_since_the_round_began_is_not_reminded_of(bench, at):
    order = walk.to(walk.request(at=at), Station.GO_AHEAD, by=bench.technician, at=at)
    stale = order.quotes.select_related("order__customer", "rates").get()
    walk.answer(order, at=at)
    assert not offers.remind(quote=stale, number=1, at=at + timedelta(days=4))
    assert not order.letters.filter(kind="quote_reminder").exists()


@pytest.mark.django_db(transaction=True)
def test_old_request_goes_with_its_photos_and_their_files(at):
    draft, _ = drafting.start(sender="somebody", at=at)
    out = BytesIO()
    Image.new("RGB", (40, 30), "teal").save(out, "JPEG")
    photo = album.add_photo(content=out.getvalue(), role="customer", by="customer", at=at, draft=draft)
    file = stored_path(photo.sha256, folder="photos", suffix=".jpg")
    assert file.exists()
    assert clock.tick(at=at + timedelta(days=31))["drafts"] == 1
    assert not Photo.objects.exists() and not file.exists()
