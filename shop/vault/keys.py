"""Where the sealing keys are kept: CODE_KEYS of the surroundings, else a file beside the data, never in the database."""

import os
import re
import secrets
import tempfile
from pathlib import Path

from django.conf import settings

from shop.vault import sealing

_NUMBERED = re.compile(r"k(\d{1,9})(?:-|$)")


def keys() -> dict[str, bytes]:
    """The keys by name; the first seals. The file is made at first need, readable by its owner alone."""
    if settings.CODE_KEYS:
        return sealing.read_keys(settings.CODE_KEYS)
    place = _place()
    if not place.exists():
        _put(place, sealing.written({_name(1): sealing.fresh_key()}), anew=False)
    return sealing.read_keys(place.read_text())


def add_key() -> str:
    """Put a fresh key first; returns its name. Raises PermissionError where the surroundings hold the keys."""
    _must_be_ours()
    known = keys()
    name = _name(1 + max((int(found[1]) for key in known if (found := _NUMBERED.match(key))), default=0))
    _put(_place(), sealing.written({name: sealing.fresh_key(), **known}), anew=True)
    return name


def keep_only(names: set[str]) -> list[str]:
    """Drop the other keys for good, the first never; returns the names dropped."""
    _must_be_ours()
    known = keys()
    first = next(iter(known))
    stays = {name: key for name, key in known.items() if name == first or name in names}
    _put(_place(), sealing.written(stays), anew=True)
    return [name for name in known if name not in stays]


def _name(number: int) -> str:
    """A name that was never used before: a lost file that comes back must not meet another key under its own name."""
    return f"k{number}-{secrets.token_hex(4)}"


def _must_be_ours() -> None:
    if settings.CODE_KEYS:
        raise PermissionError("CODE_KEYS holds the keys: put the new one first there, then run this again.")


def _place() -> Path:
    return Path(settings.DATA) / "code.keys"


def _put(place: Path, text: str, *, anew: bool) -> None:
    """Nobody reads half a file; of two who make the first one, one wins and both read that."""
    handle, made = tempfile.mkstemp(dir=place.parent, prefix=".code-keys-")
    with os.fdopen(handle, "w") as paper:
        paper.write(text)
        paper.flush()
        os.fsync(paper.fileno())
    if anew:
        Path(made).replace(place)
        return
    try:
        os.link(made, place)
    except FileExistsError:
        pass
    finally:
        Path(made).unlink()
