"""Matches locked packages against a folder of published advisories, without a network.

The form is that of the Open Source Vulnerability format (ossf.github.io/osv-schema, from memory: `affected`,
`ranges` with `events`, `versions`, `withdrawn`), one advisory a file, in YAML or JSON, as the Python
packaging authority's advisory database has it.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import yaml
from packaging.utils import canonicalize_name
from packaging.version import InvalidVersion, Version

from shop.setup.lock import Locked

OLDEST_DAYS = 60


class BadAdvisories(ValueError):
    """A folder nothing can be concluded from; the text is the sentence to print."""


@dataclass(frozen=True)
class Hole:
    """A published weakness of a version that is in use."""

    package: str
    version: str
    advisory: str
    mended_in: tuple[str, ...]


@dataclass(frozen=True)
class Found:
    """What a folder says: how many advisories it holds, when the newest was changed, and the holes."""

    advisories: int
    newest: datetime
    holes: tuple[Hole, ...]

    def days_old(self, at: datetime) -> int:
        return (at - self.newest).days


def look_through(folder: Path, packages: list[Locked]) -> Found:
    """Every advisory of `folder` and below against `packages`. Raises BadAdvisories when one cannot be read."""
    wanted = {locked.name: locked for locked in packages}
    count, newest, holes = 0, datetime.min.replace(tzinfo=UTC), []
    for path, notice in _notices(folder):
        count += 1
        newest = max(newest, _moment(path, notice.get("modified") or notice.get("published")))
        if not notice.get("withdrawn"):
            holes += _holes_of(path, notice, wanted)
    if not count:
        raise BadAdvisories(f"{folder} holds no advisories (files ending in .yaml or .json).")
    return Found(count, newest, tuple(sorted(set(holes), key=lambda hole: (hole.package, hole.advisory))))


def _notices(folder: Path) -> Iterator[tuple[Path, dict[str, Any]]]:
    for path in sorted(folder.rglob("*")):
        if path.suffix not in (".yaml", ".yml", ".json") or any(
            part.startswith(".") for part in path.parts[-2:]
        ):
            continue
        try:
            text = path.read_text(encoding="utf-8")
            found = json.loads(text) if path.suffix == ".json" else yaml.load(text, Loader=yaml.CSafeLoader)  # noqa: S506 -- the safe loader, in C
        except (OSError, ValueError, yaml.YAMLError) as fault:
            raise BadAdvisories(f"{path} cannot be read: {str(fault).splitlines()[0]}.") from fault
        if isinstance(found, dict) and "id" in found:
            yield path, found


def _moment(path: Path, written: object) -> datetime:
    try:
        found = written if isinstance(written, datetime) else datetime.fromisoformat(str(written))
    except ValueError as fault:
        raise BadAdvisories(f"{path} does not say when it was changed.") from fault
    return found if found.tzinfo else found.replace(tzinfo=UTC)


def _holes_of(path: Path, notice: dict[str, Any], wanted: dict[str, Locked]) -> list[Hole]:
    holes = []
    for affected in notice.get("affected") or []:
        package = affected.get("package") or {}
        locked = wanted.get(str(canonicalize_name(str(package.get("name", "")))))
        if locked is None or str(package.get("ecosystem", "")).lower() != "pypi":
            continue
        try:
            hit = is_affected(locked.version, affected)
        except InvalidVersion as fault:
            raise BadAdvisories(f"{path} names a version that cannot be read: {fault}.") from fault
        if hit:
            holes.append(Hole(locked.name, locked.version, str(notice["id"]), _mended(affected)))
    return holes


def is_affected(version: str, affected: dict[str, Any]) -> bool:
    """Whether a listed version or a range of one `affected` entry covers `version`; raises InvalidVersion."""
    if version in {str(one) for one in affected.get("versions") or []}:
        return True
    here = Version(version)
    return any(
        _in_range(here, each.get("events") or [])
        for each in affected.get("ranges") or []
        if each.get("type") in ("ECOSYSTEM", "SEMVER")
    )


def _in_range(here: Version, events: list[dict[str, Any]]) -> bool:
    """The events in the order of their versions; the last that holds decides."""
    steps = sorted((Version(str(value)), kind) for event in events for kind, value in event.items())
    inside = False
    for version, kind in steps:
        if kind == "introduced" and here >= version:
            inside = True
        elif (kind == "fixed" and here >= version) or (kind == "last_affected" and here > version):
            inside = False
    return inside


def _mended(affected: dict[str, Any]) -> tuple[str, ...]:
    found = {
        str(event["fixed"])
        for each in affected.get("ranges") or []
        if each.get("type") in ("ECOSYSTEM", "SEMVER")
        for event in each.get("events") or []
        if "fixed" in event
    }
    return tuple(sorted(found, key=Version))
