"""A restored copy's media into a bucket that a real server process holds."""

import hashlib
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.test import override_settings

from intake import file_store
from shop.backup.faults import BackupFault
from shop.backup.filling import Filled, fill
from shop.media_address import media_storage
from tests import buckets


@pytest.fixture
def bucket(settings):
    with buckets.bucket_server() as address:
        entry = media_storage(f"s3://media/shop?endpoint={address}&region=us-east-1", **buckets.KEYS)
        with override_settings(STORAGES={**settings.STORAGES, "default": entry}):
            yield


@pytest.fixture
def copy(tmp_path):
    for number in range(3):
        words = f"photo {number}".encode()
        digest = hashlib.sha256(words).hexdigest()
        place = tmp_path / "photos" / digest[:2] / f"{digest}.jpg"
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(words)
    return tmp_path


def test_media_of_a_copy_lie_in_the_bucket_and_a_second_run_puts_none_again(bucket, copy):
    assert fill(copy) == Filled(put=3, there=0, left_out=())
    assert fill(copy) == Filled(put=0, there=3, left_out=())
    kept = {file_store.open_named(name).read() for name in file_store.names("photos")}
    assert kept == {b"photo 0", b"photo 1", b"photo 2"}


def test_file_that_is_not_what_its_name_says_is_left_out_and_named(bucket, copy):
    [first, *_] = sorted(path for path in copy.rglob("*.jpg"))
    first.write_bytes(b"other bytes")
    (copy / "notes.txt").write_text("mine")
    told = StringIO()
    with pytest.raises(CommandError, match=f"(?s)notes.txt.*{first.name}"):
        call_command("put_media", str(copy), stdout=told)
    assert told.getvalue() == "2 files put into the store, 0 files there already.\n"


def test_folder_that_is_not_there_and_store_that_is_away_are_told(settings, copy):
    with pytest.raises(BackupFault, match="There is no folder"):
        fill(copy / "nowhere")
    away = media_storage("s3://media/shop?endpoint=http://127.0.0.1:1&region=us-east-1", **buckets.KEYS)
    with (
        override_settings(STORAGES={**settings.STORAGES, "default": away}),
        pytest.raises(BackupFault, match="did not take photos/"),
    ):
        fill(copy)
