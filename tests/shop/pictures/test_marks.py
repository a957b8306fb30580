"""Marks are drawn on a copy: the photo's row, its file and its bytes stay as they were."""

import hashlib
import io
from collections.abc import Callable
from datetime import datetime, timedelta
from types import SimpleNamespace

import pytest
from django.core.cache import cache
from PIL import Image, ImageChops

from intake import album, history, photo_files
from intake.models import HistoryEntry, Order, Photo
from intake.refusals import Refused
from quotes.models import Reading
from shop.models import PhotoMark
from shop.pictures import marked, marks
from shop.pictures.geometry import Mark
from shop.pictures.marks import Said
from shop.pictures.seen import seen
from tests.files import stored_path

RING = Mark("ring", 500, 500, 600, 500)


@pytest.fixture
def put(bench: SimpleNamespace, photo: Photo, at: datetime) -> Callable[..., PhotoMark]:
    def draw(mark: Mark, key: str = "one", words: str = "", reading: Reading | None = None) -> PhotoMark:
        said = Said(words=words, reading=reading)
        return marks.add(photo=photo, mark=mark, said=said, key=key, by=bench.technician, at=at)

    return draw


def read_in(order: Order, by: object, at: datetime, key: str = "r") -> Reading:
    return Reading.objects.create(
        order=order, key=key, point="boost out", mode="volt", value="0.452", unit="V", state="open",
        typed="boost out .452", at=at, by=by,
    )  # fmt: skip


def opened(jpeg: bytes) -> Image.Image:
    return Image.open(io.BytesIO(jpeg)).convert("RGB")


def test_photo_without_marks_is_its_own_copy(photo: Photo) -> None:
    assert marked.bytes_of(photo) == album.photo_bytes(photo)
    assert marked.digest_of(photo) == photo.sha256


def test_ring_is_on_the_copy_and_the_photo_is_as_it_was(photo: Photo, put: Callable[..., PhotoMark]) -> None:
    before, row = album.photo_bytes(photo), Photo.objects.values().get(pk=photo.pk)
    put(RING)
    assert album.photo_bytes(photo) == before
    assert hashlib.sha256(before).hexdigest() == photo.sha256
    assert Photo.objects.values().get(pk=photo.pk) == row
    copy = opened(marked.bytes_of(photo))
    assert copy.size == (800, 600)
    # 100 thousandths of 799 pixels from the middle, to the right: the ring's own line.
    red, green, blue = copy.getpixel((480, 300))
    assert max(red, green, blue) < 70
    # Nothing is drawn outside of the ring but the traces of the encoding.
    difference = (
        ImageChops.difference(copy, opened(before)).convert("L").point(lambda level: level > 40 and 255)
    )
    left, top, right, bottom = difference.getbbox() or (0, 0, 0, 0)
    assert 300 <= left < right <= 500 and 200 <= top < bottom <= 400


@pytest.mark.parametrize("ground", ["#000000", "#ffffff", "#12212a", "#808080"])
def test_mark_shows_on_any_ground_in_grey(
    snap: Callable[..., Photo], bench: SimpleNamespace, at: datetime, ground: str
) -> None:
    photo = snap(ground)
    marks.add(photo=photo, mark=RING, said=Said(), key="g", by=bench.technician, at=at)
    row = opened(marked.bytes_of(photo)).convert("L").crop((440, 300, 520, 301))
    darkest, lightest = row.getextrema()
    assert lightest - darkest > 150


def test_copy_is_kept_under_its_digest_and_drawn_anew_when_it_is_lost(
    photo: Photo, put: Callable[..., PhotoMark]
) -> None:
    put(RING)
    first, digest = marked.bytes_of(photo), marked.digest_of(photo)
    path = stored_path(digest, folder="marked", suffix=".jpg")
    assert hashlib.sha256(path.read_bytes()).hexdigest() == digest != photo.sha256
    path.unlink()
    assert marked.bytes_of(photo) == first
    cache.clear()
    assert marked.digest_of(photo) == digest


def test_history_tells_the_digest_of_the_copy(photo: Photo, put: Callable[..., PhotoMark]) -> None:
    put(RING, words="torn pad")
    entry = HistoryEntry.objects.get(what="photo marked")
    assert entry.facts["copy"] == marked.digest_of(photo)
    assert entry.facts["sha256"] == photo.sha256
    assert history.verify() is None


def test_same_key_is_one_mark(photo: Photo, put: Callable[..., PhotoMark]) -> None:
    assert put(RING) == put(RING)
    assert photo.marks.count() == 1


def test_mark_taken_off_and_put_back(
    photo: Photo, put: Callable[..., PhotoMark], bench: SimpleNamespace, at: datetime
) -> None:
    row, later = put(RING), at + timedelta(minutes=1)
    with_ring = marked.digest_of(photo)
    for _ in range(2):
        marks.remove(photo=photo, mark_id=row.pk, by=bench.technician, at=later)
    assert PhotoMark.objects.get().removed_at == later
    assert marked.digest_of(photo) == photo.sha256
    for _ in range(2):
        marks.put_back(photo=photo, mark_id=row.pk, by=bench.technician, at=later)
    assert marked.digest_of(photo) == with_ring
    told = list(HistoryEntry.objects.filter(what__startswith="photo mark ").values_list("what", flat=True))
    assert sorted(told) == ["photo mark put back", "photo mark removed"]


def test_mark_of_another_photo_is_not_taken_off(
    snap: Callable[..., Photo], put: Callable[..., PhotoMark], bench: SimpleNamespace, at: datetime
) -> None:
    row = put(RING)
    marks.remove(photo=snap("black"), mark_id=row.pk, by=bench.technician, at=at)
    assert PhotoMark.objects.get().removed_at is None


def test_numbers_go_up_over_all_photos_of_the_order(
    snap: Callable[..., Photo], put: Callable[..., PhotoMark], bench: SimpleNamespace, at: datetime
) -> None:
    assert [put(Mark("number", 1, 1), key=key).number for key in "ab"] == [1, 2]
    other = marks.add(
        photo=snap("black"), mark=Mark("number", 1, 1), said=Said(), key="c", by=bench.technician, at=at
    )
    assert other.number == 3


def test_reading_keeps_its_number_on_another_photo(
    order: Order,
    snap: Callable[..., Photo],
    put: Callable[..., PhotoMark],
    bench: SimpleNamespace,
    at: datetime,
) -> None:
    reading = read_in(order, bench.technician, at)
    put(Mark("number", 1, 1), key="a")
    assert put(Mark("number", 9, 9), key="b", reading=reading).number == 2
    other = marks.add(
        photo=snap("black"), mark=Mark("number", 1, 1), said=Said(reading=reading), key="c",
        by=bench.technician, at=at,
    )  # fmt: skip
    assert other.number == 2


def test_number_taken_meanwhile_cannot_be_put_back(
    photo: Photo, put: Callable[..., PhotoMark], bench: SimpleNamespace, at: datetime
) -> None:
    row = put(Mark("number", 1, 1, number=4), key="a")
    marks.remove(photo=photo, mark_id=row.pk, by=bench.technician, at=at)
    put(Mark("number", 5, 5, number=4), key="b")
    with pytest.raises(Refused, match="Number 4 is on the photo already"):
        marks.put_back(photo=photo, mark_id=row.pk, by=bench.technician, at=at)


@pytest.mark.parametrize(
    ("mark", "field"),
    [
        (Mark("star", 1, 1), "kind"),
        (Mark("ring", 1001, 1), "x"),
        (Mark("ring", 1, 1, 1, -1), "to_y"),
        (Mark("number", 1, 1, number=100), "number"),
        (Mark("number", 1, 1, number=0), "number"),
    ],
)
def test_mark_that_cannot_be_is_refused(put: Callable[..., PhotoMark], mark: Mark, field: str) -> None:
    with pytest.raises(Refused) as refused:
        put(mark)
    assert refused.value.field == field


def test_same_number_twice_on_a_photo_is_refused(put: Callable[..., PhotoMark]) -> None:
    put(Mark("number", 1, 1, number=4), key="a")
    with pytest.raises(Refused, match="Number 4 is on this photo already"):
        put(Mark("number", 2, 2, number=4), key="b")


def test_reading_of_another_sheet_is_refused(
    put: Callable[..., PhotoMark], bench: SimpleNamespace, at: datetime
) -> None:
    from tests import walk  # noqa: PLC0415 -- one test needs a second order

    reading = read_in(walk.request(at=at), bench.technician, at)
    with pytest.raises(Refused, match="another sheet"):
        put(Mark("number", 2, 2), reading=reading)


def test_no_more_marks_than_a_photo_can_bear(
    put: Callable[..., PhotoMark], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(marks, "MOST_MARKS", 1)
    put(RING, key="a")
    with pytest.raises(Refused, match="1 marks on this photo already"):
        put(RING, key="b")


def test_customer_is_told_the_words_and_the_bench_the_reading_too(
    order: Order, photo: Photo, put: Callable[..., PhotoMark], bench: SimpleNamespace, at: datetime
) -> None:
    put(Mark("number", 1, 1), words="boost out", reading=read_in(order, bench.technician, at))
    assert seen([photo])[0].alt == "The fault: Lifted pad. Marked: 1: boost out"
    assert seen([photo], readings=True)[0].legend == ("1: boost out, 0.452 V, open",)


def test_letters_and_papers_show_the_copy(photo: Photo, put: Callable[..., PhotoMark]) -> None:
    put(RING)
    assert photo_files.shown(photo) == marked.bytes_of(photo) != photo_files.kept(photo)
