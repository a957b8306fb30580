"""A disk that is full or read-only, a database that somebody holds: told kindly, nothing half, and it goes on by itself.

Real small disks (tmpfs) under the database file and under the photos, the real launcher above them.
"""

import sqlite3
import time
from contextlib import closing
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from PIL import Image

from intake.models import Photo
from tests.faults.disks import fill, read_only, small_disk
from tests.faults.house import Answer, House, house_of
from tests.faults.scratch import database
from tests.faults.test_house_killed import WHOLE
from tests.intake import request_walk

pytestmark = [pytest.mark.faults, pytest.mark.long]
FILE = pytest.mark.skipif(connection.vendor != "sqlite", reason="the disk is the one of the SQLite file")
WORDS = 'It says "no" & shows <nothing>, since Sunday'
A_PLACE = 60
ESCAPED = "It says &quot;no&quot; &amp; shows &lt;nothing&gt;, since Sunday"


def assert_sorry(answer: Answer) -> None:
    assert (answer.status, answer.headers["Retry-After"]) == (503, "10")
    assert ESCAPED in answer.text, "what was typed is on the page"


@pytest.fixture
def cramped(_shop, _post, tmp_path):
    """A shop whose database lies on a small disk."""
    with (
        small_disk(tmp_path / "disk", megabytes=40) as disk,
        database(disk, like=_shop) as address,
        house_of(tmp_path, address=address, post=_post) as house,
    ):
        yield SimpleNamespace(house=house, disk=disk)


@FILE
def test_full_disk_at_many_places_leaves_no_half_order_and_work_goes_on_by_itself(cramped, post, size):
    house, places = cramped.house, size(2, 20)
    doors = house.nurse.call("fill_drafts", tag="full", count=A_PLACE * places)
    house.open()
    sent = refused = 0
    for place in range(places):
        mine = [token for token, _ in doors[place * A_PLACE : (place + 1) * A_PLACE]]
        ballast = fill(cramped.disk, leave=place * 16_384)
        taken = send_until_refused(house, mine, cramped.disk)
        assert_sorry(first_refused(house, mine[-1]))
        assert house.ask("GET", "/live/").status == 200
        ballast.unlink()
        (cramped.disk / "rest").unlink(missing_ok=True)
        again = house.send_request(mine[taken])
        assert again.sent_as, (again.status, again.text)
        sent, refused = sent + taken + 1, refused + 1
    house.kill()
    house.nurse.call("drain_later", rounds=2)
    stands = house.nurse.call("stands")
    assert {name: stands[name] for name in WHOLE} == WHOLE
    assert len(house.nurse.call("requests_now", tag="full")) == sent
    assert stands["waiting"] == 0, "letters went once there was room"
    print(f"disk full at {places} places: {sent} requests kept, {refused} told to wait, 0 halves")


def send_until_refused(house: House, tokens: list[str], disk: Path) -> int:
    """How many were taken before the first was refused; what is still free after a while is taken away too."""
    for number, token in enumerate(tokens[:-1]):
        if number == A_PLACE // 3:
            fill(disk, leave=0, name="rest")
        answer = house.send_request(token)
        if answer.status == 503:
            fill(disk, leave=0, name="rest")
            return number
        assert answer.sent_as, answer.status
    raise AssertionError("the disk must be full before the requests are at an end")


def first_refused(house: House, token: str) -> Answer:
    """The journal has some room of its own: it is used up first."""
    for number in range(60):
        answer = house.type_words(token, f"{WORDS} {'x' * 500 * number}")
        if answer.status != 303:
            return answer
    raise AssertionError("a full disk took everything")


@FILE
def test_database_on_a_disk_that_only_reads_is_said_at_the_start(cramped):
    house = cramped.house
    read_only(cramped.disk, True)
    web = house.start("web", "manage.py", "serve")
    assert web.wait(60) == 1
    assert "Traceback" not in house.said()
    assert f"chown -R USER {cramped.disk}" in house.said(), "what to do is said"
    read_only(cramped.disk, False)
    house.open()


@FILE
def test_database_that_somebody_holds_is_waited_for_and_then_told(house):
    """Waits two seconds here in place of the twenty of a real shop."""
    [token, _] = house.nurse.call("fill_drafts", tag="held", count=1)[0]
    house.open(first="import shop.setup.services as s; s.SQLITE_WAIT_SECONDS = 2")
    place = house.env["DATABASE_URL"].removeprefix("sqlite:///")
    with closing(sqlite3.connect(place, isolation_level=None, check_same_thread=False)) as holder:
        holder.execute("BEGIN EXCLUSIVE")
        began = time.monotonic()
        assert_sorry(house.type_words(token, WORDS))
        assert 1.5 < time.monotonic() - began < 30
        holder.execute("ROLLBACK")
        assert house.type_words(token, WORDS).status == 303
    assert house.send_request(token).sent_as


def jpeg() -> bytes:
    out = BytesIO()
    Image.effect_noise((900, 700), 90).convert("RGB").save(out, "JPEG", quality=95)
    return out.getvalue()


@pytest.mark.parametrize("fault", ["full", "read-only"])
def test_photo_that_the_disk_takes_not_is_told_and_leaves_no_file(
    client, letterhead, settings, tmp_path, fault
):
    with small_disk(tmp_path / "photos", megabytes=2) as disk:
        settings.MEDIA_ROOT = disk
        request_walk.fill(client, until="photos")
        ballast = fill(disk, leave=8192)
        if fault == "read-only":
            ballast.unlink()
            read_only(disk, True)
        answer = add_photo(client)
        assert (answer.status_code, answer["Retry-After"]) == (503, "10")
        assert "Please choose again: board.jpg" in answer.text
        assert Photo.objects.count() == 0
        assert files_on(disk) <= {"ballast"}
        if fault == "read-only":
            read_only(disk, False)
        ballast.unlink(missing_ok=True)
        assert add_photo(client).status_code == 303
        assert Photo.objects.count() == 1


def add_photo(client):
    photo = SimpleUploadedFile("board.jpg", jpeg(), content_type="image/jpeg")
    return client.post("/request/photos/", {"act": "add", "photos": photo})


def files_on(disk: Path) -> set[str]:
    return {file.name for file in disk.rglob("*") if file.is_file()}
