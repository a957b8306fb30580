"""What a start asks of the machine: each folder that cannot be written is named with the command that mends it."""

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest
import time_machine

from shop.setup import folders


@pytest.fixture
def place(tmp_path, settings) -> Path:
    for name in ("media", "letters", "static", "backups"):
        (tmp_path / name).mkdir()
    settings.DATA, settings.MEDIA_ROOT, settings.STATIC_ROOT = (
        tmp_path,
        tmp_path / "media",
        tmp_path / "static",
    )
    settings.BACKUP_FOLDER, settings.EMAIL_FILE_PATH = tmp_path / "backups", str(tmp_path / "letters")
    tmp_path.chmod(0o700)
    return tmp_path


def test_folders_that_can_be_written_are_not_spoken_of(place):
    assert folders.look_at_folders() == []


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("media", "The photos and papers"),
        ("letters", "The letters"),
        ("static", "The static files"),
        ("backups", "The backups"),
    ],
)
def test_folder_that_is_a_file_is_named_with_the_way_to_mend_it(place, name, words):
    (place / name).rmdir()
    (place / name).touch()
    (said,) = folders.look_at_folders()
    assert (said.id, said.msg.startswith(f"{words} cannot be written in {place / name}")) == (
        "shop.E001",
        True,
    )
    assert f"chown -R USER {place / name}" in said.hint


def test_folder_this_user_may_not_write_is_named(place):
    """As another user where the tests run as root, whom no mode keeps out."""
    (place / "media").chmod(0o500)
    root = os.geteuid() == 0
    try:
        if root:
            os.seteuid(65534)
        fault = folders.fault_of(place / "media")
    finally:
        if root:
            os.seteuid(0)
    assert fault == "Permission denied"


def test_data_that_others_can_read_is_a_warning(place):
    place.chmod(0o755)
    (said,) = folders.look_at_folders()
    assert (said.id, said.hint) == ("shop.W001", f"chmod 700 {place}")


def test_key_that_others_can_read_is_an_error(place):
    (place / "code.keys").touch(mode=0o600)
    assert folders.look_at_keys() == []
    (place / "code.keys").chmod(0o640)
    (said,) = folders.look_at_keys()
    assert (said.id, said.msg.endswith(f"chmod 600 {place / 'code.keys'}")) == ("shop.E002", True)


def test_clock_from_before_the_program_was_made_is_an_error():
    assert folders.look_at_clock() == []
    with time_machine.travel(datetime(1970, 1, 1, 0, 5, tzinfo=UTC), tick=False):
        (said,) = folders.look_at_clock()
    assert (said.id, "1970-01-01" in said.msg) == ("shop.E003", True)
