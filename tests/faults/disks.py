"""Small disks of their own for a test: full, nearly full, read-only. A mount needs root."""

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


def _mount(*words: str) -> None:
    done = subprocess.run(["mount", *words], capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"no small disk can be mounted here: {done.stderr.strip()}")


@contextmanager
def small_disk(place: Path, *, megabytes: int) -> Iterator[Path]:
    """A disk of that size at a new folder. Skips the test where none can be mounted."""
    if os.geteuid() != 0:
        pytest.skip("mounting a small disk needs root")
    place.mkdir()
    _mount("-t", "tmpfs", "-o", f"size={megabytes}m", "none", str(place))
    try:
        yield place
    finally:
        subprocess.run(["umount", "--lazy", str(place)], check=True)


def fill(disk: Path, *, leave: int, name: str = "ballast") -> Path:
    """Fill a disk up to so many bytes with one file; remove the file to make room again."""
    ballast = disk / name
    with ballast.open("wb") as file:
        # The disk says itself how much there is: other files on it grow meanwhile.
        while (free := _free(disk)) > leave:
            try:
                file.write(b"\0" * min(free - leave, 65_536))
                file.flush()
            except OSError:
                break
    return ballast


def read_only(disk: Path, switch: bool) -> None:
    _mount("-o", f"remount,{'ro' if switch else 'rw'}", str(disk))


def _free(disk: Path) -> int:
    room = os.statvfs(disk)
    return room.f_bavail * room.f_frsize
