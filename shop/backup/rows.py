"""The rows of a table as one digest: canonical JSON, a line a row, in key order. Pure."""

import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Sequence
from decimal import Decimal


def digest_of(rows: Iterable[Sequence[object]]) -> tuple[int, str]:
    """How many rows, and the SHA-256 (hex) over them. The same rows of the same engine give the same digest."""
    number, digest = 0, hashlib.sha256()
    for row in rows:
        digest.update(_line(row))
        number += 1
    return number, digest.hexdigest()


def _line(row: Sequence[object]) -> bytes:
    text = json.dumps(list(row), default=_plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return text.encode("utf-8", "surrogatepass") + b"\n"


def _plain(value: object) -> str:
    if isinstance(value, dt.datetime) and value.tzinfo is not None:
        return value.astimezone(dt.UTC).isoformat()
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, bytes | bytearray | memoryview):
        return bytes(value).hex()
    return format(value, "f") if isinstance(value, Decimal) else str(value)
