"""What a backup says of itself, and how a copy is held against it."""

import datetime as dt
import hashlib
from dataclasses import replace
from decimal import Decimal

import pytest

from shop.backup import manifest, rows
from shop.backup.manifest import BadManifest, Facts, Manifest

FACTS = Facts(
    tables={"a": (2, "x"), "b": (0, "y")},
    triggers=("a_only_added",),
    history=(7, "d" * 64),
    money={"bank": "5"},
    migrations=("intake.0001",),
)
LISTED = Manifest(
    "2026-02-02T03:00:00+00:00", "1", "sqlite", FACTS, {"photos/ab/abc.jpg": (3, "z")}, ("age1x",), ("g",)
)


def test_manifest_when_written_reads_back_the_same() -> None:
    assert manifest.read(manifest.written(LISTED)) == LISTED


@pytest.mark.parametrize(
    "text", [b"", b"[]", b"{}", b'{"format": 2}', manifest.written(LISTED)[:-40], b"\xff"]
)
def test_manifest_when_unreadable_is_refused(text: bytes) -> None:
    with pytest.raises(BadManifest):
        manifest.read(text)


def test_differences_when_equal_are_none() -> None:
    assert manifest.differences(FACTS, FACTS) == []
    assert manifest.media_differences(LISTED.media, dict(LISTED.media)) == []


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (replace(FACTS, tables={"a": (2, "x")}), "Table b is missing."),
        (replace(FACTS, tables={**FACTS.tables, "c": (1, "")}), "Table c is not in the backup's list."),
        (replace(FACTS, tables={**FACTS.tables, "a": (1, "x")}), "Table a has 1 row, not 2."),
        (
            replace(FACTS, tables={**FACTS.tables, "a": (2, "w")}),
            "Table a has 2 rows, but not the same.",
        ),
        (replace(FACTS, triggers=()), "These locks of tables are missing: a_only_added."),
        (replace(FACTS, history=(6, "")), "The history ends at entry 6, not 7, or with another digest."),
        (replace(FACTS, money={}), "The sums of the journal are not those of the backup's list."),
    ],
)
def test_differences_when_something_is_off_say_what(found: Facts, said: str) -> None:
    assert manifest.differences(FACTS, found) == [said]


def test_media_differences_name_each_file() -> None:
    wanted = {"one": (1, "a"), "two": (1, "b")}
    assert manifest.media_differences(wanted, {"two": (1, "c"), "three": (1, "d")}) == [
        "The file one is missing.",
        "The file three is not in the backup's list.",
        "The file two is damaged.",
    ]


def test_digest_of_rows_is_of_one_json_line_each() -> None:
    """By hand: the SHA-256 of the two lines written out."""
    moment = dt.datetime(2026, 2, 2, 10, tzinfo=dt.timezone(dt.timedelta(hours=1)))
    lines = '[1,"ä",null,"2026-02-02T09:00:00+00:00"]\n["00ff","1.50",{"a":1,"b":2},"2026-02-02"]\n'
    table = [(1, "ä", None, moment), (b"\x00\xff", Decimal("1.50"), {"b": 2, "a": 1}, dt.date(2026, 2, 2))]
    assert rows.digest_of(table) == (2, hashlib.sha256(lines.encode()).hexdigest())
    assert rows.digest_of(reversed(table)) != rows.digest_of(table)
