"""Where the sealing keys are kept: CODE_KEYS of the surroundings, else a file beside the data, never in the database."""

import os
import tempfile
from pathlib import Path

from django.conf import settings

from shop.vault import sealing


def keys() -> dict[str, bytes]:
    """The keys by name; the first seals. The file is made at first need, readable by its owner alone."""
    if settings.CODE_KEYS:
        return sealing.read_keys(settings.CODE_KEYS)
    place = _place()
    if not place.exists():
        _put(place, sealing.written({"k1": sealing.fresh_key()}), anew=False)
    return sealing.read_keys(place.read_text())


def add_key() -> str:
    """Put a fresh key first; returns its name. Raises PermissionError where the surroundings hold the keys."""
    _must_be_ours()
    known = keys()
    number = 1 + max((int(name[1:]) for name in known if name[:1] == "k" and name[1:].isdecimal()), default=0)
    name = f"k{number}"
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
