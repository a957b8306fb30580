"""A list of digests of a folder on the bench machine. Reads files; knows no database."""

import hashlib
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from shop.branches.digest_lines import DigestLine, DigestListError


@dataclass(frozen=True)
class FolderList:
    """The lines sorted by name, the bytes of all files, and how many entries were no plain files and are left out."""

    lines: list[DigestLine]
    bytes_long: int
    left_out: int


def list_of_folder(folder: Path, *, without: Path | None = None) -> FolderList:
    """Digest every plain file under a folder, links not followed. Raises DigestListError, OSError.

    `without` is the list's own file where it lies in the folder.
    """
    lines: list[DigestLine] = []
    size = left_out = 0
    skip = without.resolve() if without is not None else None
    for path in _all(folder):
        if path.is_symlink() or not path.is_file():
            left_out += 1
            continue
        if skip is not None and path.resolve() == skip:
            continue
        lines.append(DigestLine(_digest(path), _name(path, folder)))
        size += path.stat().st_size
    if not lines:
        raise DigestListError(f"There is no file in {folder}.")
    return FolderList(sorted(lines, key=lambda line: line.name), size, left_out)


def _all(folder: Path) -> Iterator[Path]:
    """Every entry below that is no folder to go into."""

    def gone_wrong(fault: OSError) -> None:
        raise fault

    for place, folders, files in os.walk(folder, onerror=gone_wrong):
        yield from (Path(place, name) for name in files)
        yield from (Path(place, name) for name in folders if Path(place, name).is_symlink())


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _name(path: Path, folder: Path) -> str:
    name = path.relative_to(folder).as_posix()
    try:
        name.encode()
    except UnicodeEncodeError as fault:
        raise DigestListError(
            f"The name {os.fsencode(name)!r} is not UTF-8, so no sheet can hold it. Rename the copy first."
        ) from fault
    return name
