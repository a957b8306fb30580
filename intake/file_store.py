"""Where files lie: each written once under the SHA-256 of its bytes, in a folder of this machine or in a bucket.

Which of the two, `STORAGES["default"]` says; nothing else in the house may ask for the place of a file. A name is
`folder/first two of the digest/digest.suffix`, so that a name is never given to other bytes.
"""

import datetime as dt
import hashlib
import os
import re
import secrets
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage, Storage, storages

NAME = re.compile(
    r"(?P<folder>[a-z_]+)/(?P<two>[0-9a-f]{2})/(?P<digest>(?P=two)[0-9a-f]{62})(?P<suffix>\.[a-z]+)"
)


def store(content: bytes, *, folder: str, suffix: str, anew: bool = False) -> str:
    """Keep bytes and give their SHA-256 (hex). OSError when they cannot be kept: then nothing of them is.

    `anew` lets the age of bytes that are there already begin again.
    """
    digest = hashlib.sha256(content).hexdigest()
    name = name_of(digest, folder=folder, suffix=suffix)
    place = storages["default"]
    if isinstance(place, FileSystemStorage):
        _write_here(Path(place.path(name)), content, anew=anew)
    elif anew or not place.exists(name):
        place.save(name, ContentFile(content))
    return digest


def read(digest: str, *, folder: str, suffix: str) -> bytes:
    """The bytes under a digest. FileNotFoundError when there are none, another OSError when they cannot be had."""
    with open_named(name_of(digest, folder=folder, suffix=suffix)) as file:
        return file.read()


def exists(digest: str, *, folder: str, suffix: str) -> bool:
    return storages["default"].exists(name_of(digest, folder=folder, suffix=suffix))


def delete(digest: str, *, folder: str, suffix: str) -> None:
    """Remove a file; one that is gone already is no fault."""
    delete_named(name_of(digest, folder=folder, suffix=suffix))


def name_of(digest: str, *, folder: str, suffix: str) -> str:
    """The one name of these bytes. ValueError for what cannot be one, so that no text of a form becomes a place."""
    name = f"{folder}/{digest[:2]}/{digest}{suffix}"
    if not NAME.fullmatch(name):
        raise ValueError("That is no name of a kept file.")
    return name


def names(folder: str = "") -> Iterator[str]:
    """The names of all files kept, or of those in one folder. What lies there by another name is passed over."""
    place = storages["default"]
    for first in [folder] if folder else _inside(place, "")[0]:
        for second in _inside(place, first)[0]:
            for last in _inside(place, f"{first}/{second}")[1]:
                if NAME.fullmatch(name := f"{first}/{second}/{last}"):
                    yield name


def open_named(name: str) -> BinaryIO:
    """A file by its name, to be read piece by piece. FileNotFoundError and OSError as in `read`."""
    return storages["default"].open(name, "rb")


def delete_named(name: str) -> None:
    storages["default"].delete(name)


def digest_in(name: str) -> str:
    """The digest that a name speaks of."""
    return name.rsplit("/", 1)[-1].partition(".")[0]


def older_than(moment: dt.datetime, *, folder: str) -> list[str]:
    """Names of the files of a folder that were kept before a moment (aware)."""
    place, found = storages["default"], []
    for name in names(folder):
        try:
            if place.get_modified_time(name) < moment:
                found.append(name)
        except FileNotFoundError:  # somebody else cleared it away meanwhile
            continue
    return found


def writable() -> bool:
    """Whether a file can be kept right now: one small one is, and goes again."""
    probe = secrets.token_bytes(16)
    try:
        digest = store(probe, folder="probe", suffix=".part")
        delete(digest, folder="probe", suffix=".part")
    except OSError:
        return False
    return True


def _inside(place: Storage, folder: str) -> tuple[list[str], list[str]]:
    try:
        return place.listdir(folder)
    except FileNotFoundError:
        return [], []


def _write_here(path: Path, content: bytes, *, anew: bool) -> None:
    """Temporary name, fsync, rename, fsync of the folder: after a crash there is the whole file or none."""
    if path.exists():
        if anew:
            path.touch()
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    half = path.with_name(f".{secrets.token_hex(8)}.part")
    try:
        with half.open("wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        half.chmod(0o600)
        half.rename(path)
    except OSError:
        half.unlink(missing_ok=True)
        raise
    handle = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
