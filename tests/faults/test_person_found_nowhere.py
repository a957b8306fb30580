"""A marked person is erased; then every byte the shop has written is searched for their marks."""

import json
import re
from pathlib import Path

import pytest

from tests.faults.person_life import WORD
from tests.faults.scratch import lived

pytestmark = pytest.mark.faults
MARKS = re.compile(rf"{WORD}m\d{{3}}|{WORD} Name|{WORD} Lane|Rings, {WORD}|{WORD}@example".encode())


def found(folder: Path) -> set[str]:
    """The marks that stand in any file, in plain bytes."""
    return {
        mark.decode()
        for file in folder.rglob("*")
        if file.is_file()
        for mark in MARKS.findall(file.read_bytes())
    }


def test_search_finds_what_is_there(tmp_path: Path) -> None:
    (tmp_path / "a").write_text(f"x{WORD}m007y")
    assert found(tmp_path) == {f"{WORD}m007"}


def test_erased_person_is_found_only_on_bills(tmp_path: Path) -> None:
    with lived("tests.faults.person_life", tmp_path) as life:
        (tmp_path / "log.txt").write_text(life.stderr)
        may_stay = set(json.loads(life.stdout.splitlines()[-1]))
        assert found(tmp_path) - may_stay == set()
        assert may_stay <= found(tmp_path), "the search sees what stays"
    assert (tmp_path / "erased.list").read_text().count("\n") == 1
