"""What a backup says of itself, and how a copy is held against it. Plain values; knows neither Django nor a database."""

import dataclasses
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from intake.wording import count

FORMAT = 1


@dataclass(frozen=True)
class Facts:
    """What is in a database: `tables` name -> (rows, SHA-256 of the rows in key order), `triggers` by name,
    `history` (entries, last digest), `money` account -> sum as text, `migrations` as "app.name"."""

    tables: dict[str, tuple[int, str]]
    triggers: tuple[str, ...]
    history: tuple[int, str]
    money: dict[str, str]
    migrations: tuple[str, ...]

    @property
    def rows(self) -> int:
        return sum(rows for rows, _ in self.tables.values())


@dataclass(frozen=True)
class Manifest:
    """A backup's own list. `media` name -> (bytes, SHA-256); `gone` are files cleared away while it was made;
    `made_at` ISO 8601 in UTC; `recipients` are public keys; `engine` sqlite or postgresql."""

    made_at: str
    version: str
    engine: str
    facts: Facts
    media: dict[str, tuple[int, str]]
    recipients: tuple[str, ...]
    gone: tuple[str, ...] = ()
    format: int = field(default=FORMAT)


class BadManifest(ValueError):
    """The list in a backup is not one this version reads."""


def written(manifest: Manifest) -> bytes:
    """JSON, sorted, UTF-8."""
    return json.dumps(dataclasses.asdict(manifest), sort_keys=True, ensure_ascii=False, indent=1).encode()


def read(text: bytes) -> Manifest:
    """The other way. Raises BadManifest."""
    try:
        told = json.loads(text)
        if told["format"] != FORMAT:
            raise BadManifest("This backup was made by a version that writes them differently.")
        facts = told.pop("facts")
        return Manifest(
            **{**told, "media": _pairs(told["media"]), **_tuples(told, "recipients", "gone")},
            facts=Facts(
                **{
                    **facts,
                    "tables": _pairs(facts["tables"]),
                    **_tuples(facts, "triggers", "history", "migrations"),
                }
            ),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as fault:
        if isinstance(fault, BadManifest):
            raise
        raise BadManifest("The list inside the backup cannot be read.") from fault


def differences(wanted: Facts, found: Facts) -> list[str]:
    """A sentence for each thing in which a restored database is not what the manifest says."""
    said = [
        *(f"Table {name} is missing." for name in sorted(set(wanted.tables) - set(found.tables))),
        *(
            f"Table {name} is not in the backup's list."
            for name in sorted(set(found.tables) - set(wanted.tables))
        ),
        *_tables(wanted.tables, found.tables),
    ]
    if missing := sorted(set(wanted.triggers) - set(found.triggers)):
        said.append(f"These locks of tables are missing: {', '.join(missing)}.")
    if wanted.history != found.history:
        said.append(
            f"The history ends at entry {found.history[0]}, not {wanted.history[0]}, or with another digest."
        )
    if wanted.money != found.money:
        said.append("The sums of the journal are not those of the backup's list.")
    return said


def media_differences(
    wanted: Mapping[str, tuple[int, str]], found: Mapping[str, tuple[int, str]]
) -> list[str]:
    """A sentence for each file that is missing, too much, or not what the list says."""
    said = [f"The file {name} is missing." for name in sorted(set(wanted) - set(found))]
    said += [f"The file {name} is not in the backup's list." for name in sorted(set(found) - set(wanted))]
    both = sorted(set(wanted) & set(found))
    return said + [
        f"The file {name} is damaged." for name in both if tuple(wanted[name]) != tuple(found[name])
    ]


def _tables(wanted: dict[str, tuple[int, str]], found: dict[str, tuple[int, str]]) -> Iterable[str]:
    for name in sorted(set(wanted) & set(found)):
        (rows, digest), (rows_now, digest_now) = wanted[name], found[name]
        if rows != rows_now:
            yield f"Table {name} has {count(rows_now, 'row')}, not {rows}."
        elif digest != digest_now:
            yield f"Table {name} has {count(rows, 'row')}, but not the same."


def _pairs(given: dict[str, Any]) -> dict[str, tuple[int, str]]:
    return {str(name): (int(number), str(digest)) for name, (number, digest) in given.items()}


def _tuples(given: dict[str, Any], *names: str) -> dict[str, tuple[Any, ...]]:
    return {name: tuple(given[name]) for name in names}
