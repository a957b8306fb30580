"""The same files in a folder of this machine and in a bucket that a real server process holds."""

import datetime as dt
import hashlib
import time

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.test import override_settings

from intake import file_store
from shop.media_address import media_storage
from tests import buckets


@pytest.fixture(scope="session")
def bucket_server():
    with buckets.bucket_server() as address:
        yield address


@pytest.fixture(params=["folder", "bucket"])
def place(request, tmp_path, settings):
    if request.param == "folder":
        entry = media_storage("")
    else:
        server = request.getfixturevalue("bucket_server")
        entry = media_storage(
            f"s3://media/{tmp_path.name}?endpoint={server}&region=us-east-1", **buckets.KEYS
        )
    with override_settings(MEDIA_ROOT=tmp_path, STORAGES={**settings.STORAGES, "default": entry}):
        yield request.param


def test_file_comes_back_as_it_was_kept_under_its_digest(place):
    digest = file_store.store(b"solder", folder="photos", suffix=".jpg")
    assert digest == hashlib.sha256(b"solder").hexdigest()
    assert file_store.read(digest, folder="photos", suffix=".jpg") == b"solder"
    assert file_store.store(b"solder", folder="photos", suffix=".jpg") == digest
    assert list(file_store.names()) == [f"photos/{digest[:2]}/{digest}.jpg"]
    assert list(file_store.names("papers")) == []
    with file_store.open_named(f"photos/{digest[:2]}/{digest}.jpg") as file:
        assert file.read(3) == b"sol"


def test_file_that_is_gone_says_so_and_may_be_removed_twice(place):
    digest = file_store.store(b"flux", folder="photos", suffix=".jpg")
    assert file_store.exists(digest, folder="photos", suffix=".jpg")
    for _ in range(2):
        file_store.delete(digest, folder="photos", suffix=".jpg")
    assert not file_store.exists(digest, folder="photos", suffix=".jpg")
    with pytest.raises(FileNotFoundError):
        file_store.read(digest, folder="photos", suffix=".jpg")


def test_age_begins_anew_only_when_asked(place):
    file_store.store(b"wick", folder="bank", suffix=".held")
    time.sleep(1.1)  # a bucket tells whole seconds
    between = dt.datetime.now(dt.UTC)
    time.sleep(1.1)
    digest = file_store.store(b"wick", folder="bank", suffix=".held")
    name = f"bank/{digest[:2]}/{digest}.held"
    assert file_store.older_than(between, folder="bank") == [name]
    file_store.store(b"wick", folder="bank", suffix=".held", anew=True)
    assert file_store.older_than(between, folder="bank") == []
    assert file_store.digest_in(name) == digest


def test_file_that_goes_while_ages_are_read_is_passed_over(place, monkeypatch):
    digest = file_store.store(b"braid", folder="bank", suffix=".held")
    gone = f"bank/00/{'0' * 64}.held"
    monkeypatch.setattr(
        file_store,
        "names",
        lambda folder: iter([gone, file_store.name_of(digest, folder=folder, suffix=".held")]),
    )
    late = dt.datetime.now(dt.UTC) + dt.timedelta(hours=1)
    assert len(file_store.older_than(late, folder="bank")) == 1


def test_bucket_that_goes_away_while_a_file_is_read_is_told_as_a_broken_disk_is(
    settings, bucket_server, tmp_path, monkeypatch
):
    entry = media_storage(
        f"s3://media/{tmp_path.name}?endpoint={bucket_server}&region=us-east-1", **buckets.KEYS
    )
    with override_settings(STORAGES={**settings.STORAGES, "default": entry}):
        digest = file_store.store(b"tip", folder="photos", suffix=".jpg")
        with file_store.open_named(file_store.name_of(digest, folder="photos", suffix=".jpg")) as file:
            file_store.delete(digest, folder="photos", suffix=".jpg")
            with pytest.raises(OSError, match=r"bucket|file"):
                file.read()


def test_place_that_takes_files_is_writable(place):
    assert file_store.writable()
    assert list(file_store.names()) == []


@pytest.mark.parametrize("digest", ["../../../etc/passwd", "", "A" * 64, "a" * 63, "a" * 64 + "\n"])
def test_text_that_is_no_digest_never_becomes_a_place(digest):
    with pytest.raises(ValueError, match="no name"):
        file_store.name_of(digest, folder="photos", suffix=".jpg")


def test_bucket_that_is_away_is_told_as_a_broken_disk_is(settings):
    entry = media_storage("s3://media?endpoint=http://127.0.0.1:9&region=us-east-1", **buckets.KEYS)
    with override_settings(STORAGES={**settings.STORAGES, "default": entry}):
        assert not file_store.writable()
        with pytest.raises(OSError, match="did not answer"):
            file_store.read("a" * 64, folder="photos", suffix=".jpg")


def test_folder_that_takes_no_file_leaves_no_half_of_one(tmp_path, settings, monkeypatch):
    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(file_store.os, "fsync", full)
    with override_settings(MEDIA_ROOT=tmp_path), pytest.raises(OSError, match="No space"):
        file_store.store(b"x", folder="photos", suffix=".jpg")
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


@pytest.mark.parametrize(
    "address",
    [
        "media",
        "http://media",
        "s3://",
        "s3://u:p@media",
        "s3://media?colour=red",
        "s3://media?endpoint=ftp://x",
    ],
)
def test_address_of_a_bucket_that_cannot_be_one_is_refused_in_a_sentence(address):
    with pytest.raises(ImproperlyConfigured, match="MEDIA_STORE"):
        media_storage(address)


def test_half_a_key_is_refused():
    with pytest.raises(ImproperlyConfigured, match="belong together"):
        media_storage("s3://media", key="one")
