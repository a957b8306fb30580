"""The sealed file: an age envelope around a tar, written and read as a stream, so that no backup has to fit into memory.

A thread seals (or opens) on one side of a pipe while the caller packs (or unpacks) on the other.
"""

import hashlib
import os
import tarfile
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any, BinaryIO

import pyrage

from shop.backup.faults import BackupFault, said_of

PIECE = 1 << 20
Packing = Callable[[tarfile.TarFile], None]


class _Out:
    """Counts and digests what is written, and keeps the fault of the disk, which the sealer words as its own."""

    def __init__(self, out: BinaryIO) -> None:
        self._out = out
        self.digest, self.long = hashlib.sha256(), 0
        self.fault: OSError | None = None

    def write(self, piece: bytes) -> int:
        try:
            self._out.write(piece)
        except OSError as fault:
            self.fault = fault
            raise
        self.digest.update(piece)
        self.long += len(piece)
        return len(piece)

    def flush(self) -> None:
        try:
            self._out.flush()
        except OSError as fault:
            self.fault = fault
            raise


def seal(target: Path, recipients: list[Any], pack: Packing) -> tuple[int, str]:
    """Write what `pack` puts into the tar, sealed, to `target`; returns its length in bytes and SHA-256.

    A temporary name beside it, fsync, rename: there is the whole file or none. Raises BackupFault."""
    half = target.with_name(f".{target.name}.part")
    try:
        handle = os.open(half, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "wb") as file:
            out = _Out(file)
            _through_a_pipe(lambda source: pyrage.encrypt_io(source, out, recipients), out, pack)
            file.flush()
            os.fsync(file.fileno())
        half.rename(target)
        _sync_folder(target.parent)
    except OSError as fault:
        raise BackupFault(said_of(fault, "the backup")) from fault
    finally:
        half.unlink(missing_ok=True)
    return out.long, out.digest.hexdigest()


def _through_a_pipe(sealing: Callable[[BinaryIO], None], out: _Out, pack: Packing) -> None:
    reading, writing = os.pipe()
    faults: list[BaseException] = []

    def run() -> None:
        try:
            with os.fdopen(reading, "rb") as source:
                sealing(source)
        except BaseException as fault:
            faults.append(fault)

    sealer = threading.Thread(target=run, name="sealing")
    sealer.start()
    try:
        with os.fdopen(writing, "wb") as sink, tarfile.open(fileobj=sink, mode="w|") as tar:
            pack(tar)
    except BrokenPipeError:
        pass  # the sealer has stopped, and says why below
    finally:
        sealer.join()
    if out.fault is not None:
        raise out.fault
    if faults:
        raise BackupFault(f"The backup could not be sealed ({faults[0]}).") from faults[0]


def unseal(source: Path, identities: list[Any], unpack: Packing) -> None:
    """Open a sealed file and hand its tar to `unpack`. What was unpacked counts only when this returns. Raises BackupFault."""
    reading, writing = os.pipe()
    faults: list[BaseException] = []

    def run() -> None:
        try:
            with source.open("rb") as file, os.fdopen(writing, "wb") as sink:
                pyrage.decrypt_io(file, sink, identities)
        except BaseException as fault:
            faults.append(fault)

    if not source.is_file():
        os.close(reading)
        os.close(writing)
        raise BackupFault(f"There is no file {source}.")
    opener = threading.Thread(target=run, name="opening")
    opener.start()
    try:
        _read_tar(reading, unpack)
    except (tarfile.TarError, EOFError) as fault:
        opener.join()
        raise BackupFault(_why(source, faults)) from (faults[0] if faults else fault)
    except OSError as fault:
        raise BackupFault(said_of(fault, "what is in the backup")) from fault
    finally:
        opener.join()
    if faults:
        raise BackupFault(_why(source, faults)) from faults[0]


def _read_tar(reading: int, unpack: Packing) -> None:
    with os.fdopen(reading, "rb") as pipe:
        with tarfile.open(fileobj=pipe, mode="r|") as tar:
            unpack(tar)
        # To the very end: the last piece says whether the file was cut.
        while pipe.read(PIECE):
            pass


def _why(source: Path, faults: list[BaseException]) -> str:
    if faults and isinstance(faults[0], pyrage.DecryptError) and "matching keys" in str(faults[0]):
        return f"The key given does not open {source.name}: it is sealed to another one."
    return f"The file {source.name} is damaged or cut short; nothing of it was kept."


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
