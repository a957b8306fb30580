"""The files of the house into a tar, and out of one: each by its name, a piece at a time, with its digest."""

import hashlib
import tarfile
from collections.abc import Iterable
from pathlib import Path
from typing import IO, BinaryIO

from django.core.files.storage import storages

from intake import file_store

INSIDE = "media/"
PIECE = 1 << 20
Listed = dict[str, tuple[int, str]]


def pack(tar: tarfile.TarFile, names: Iterable[str]) -> Listed:
    """Add every file that is still there; returns its bytes and SHA-256 by name."""
    packed: Listed = {}
    for name in names:
        try:
            with file_store.open_named(name) as file:
                file.read(
                    0
                )  # a bucket's bytes come now or not at all: a name in the tar without them would spoil it
                packed[name] = add(tar, INSIDE + name, file, storages["default"].size(name))
        except FileNotFoundError:  # cleared away since the names were read: the caller says so
            continue
    return packed


def add(tar: tarfile.TarFile, name: str, file: BinaryIO, long: int) -> tuple[int, str]:
    """One member of the tar, readable by its owner alone."""
    member = tarfile.TarInfo(name)
    member.size, member.mode = long, 0o600
    counted = _Counted(file)
    tar.addfile(member, counted)  # type: ignore[arg-type]  # it is read, nothing else
    return counted.long, counted.digest.hexdigest()


def put(file: IO[bytes], target: Path) -> tuple[int, str]:
    """Write one member to a new file; returns its bytes and SHA-256."""
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    counted = _Counted(file)
    with target.open("xb") as out:
        target.chmod(0o600)
        while piece := counted.read(PIECE):
            out.write(piece)
    return counted.long, counted.digest.hexdigest()


def name_inside(member: str) -> str:
    """The name of a media file from its member's name; "" for what is none, so that nothing lands outside its folder."""
    name = member.removeprefix(INSIDE)
    return name if member.startswith(INSIDE) and file_store.NAME.fullmatch(name) else ""


class _Counted:
    def __init__(self, file: IO[bytes]) -> None:
        self._file, self.long, self.digest = file, 0, hashlib.sha256()

    def read(self, long: int = -1) -> bytes:
        piece = self._file.read(long)
        self.long += len(piece)
        self.digest.update(piece)
        return piece
