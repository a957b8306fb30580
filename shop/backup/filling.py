"""The media of a restored copy into the store of this house: the last step where photos and papers lie in a bucket."""

import hashlib
from dataclasses import dataclass
from pathlib import Path

from intake import file_store
from shop.backup.faults import BackupFault


@dataclass(frozen=True)
class Filled:
    """How many files were put into the store, how many were there already, and the names that were left out."""

    put: int
    there: int
    left_out: tuple[str, ...]


def fill(folder: Path) -> Filled:
    """Put each file of `folder` into the store under its own name; a second run goes on where the first was broken off.

    Left out is what has no name of a kept file and what is not the bytes its name says. Raises BackupFault.
    """
    if not folder.is_dir():
        raise BackupFault(f"There is no folder {folder}.")
    put, there, left_out = 0, 0, []
    for path in sorted(folder.rglob("*")):
        if path.is_dir():
            continue
        told = file_store.NAME.fullmatch(path.relative_to(folder).as_posix())
        if told is None or _digest(path) != told["digest"]:
            left_out.append(path.relative_to(folder).as_posix())
            continue
        named = {"folder": told["folder"], "suffix": told["suffix"]}
        try:
            if file_store.exists(told["digest"], **named):
                there += 1
            else:
                file_store.store(path.read_bytes(), **named)
                put += 1
        except OSError as fault:
            raise BackupFault(f"The store did not take {told[0]}. {fault}") from fault
    return Filled(put, there, tuple(left_out))


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
