"""A marked unlock code lives its whole life; then every byte the shop has written is searched for it."""

import base64
from pathlib import Path

import pytest

from tests.faults.code_life import MARK
from tests.faults.scratch import lived

pytestmark = pytest.mark.faults


def shapes() -> list[bytes]:
    """The code as it might lie somewhere: plain, in other encodings, coded, backwards."""
    plain = MARK.encode()
    # A third of the letters at either end change with what stands beside them in base64.
    coded = [base64.b64encode(b"x" * lead + plain)[4:-4] for lead in range(3)]
    return [plain, MARK.encode("utf-16-le"), plain.hex().encode(), plain[::-1], *coded]


def found(folder: Path) -> list[str]:
    marks = shapes()
    return [
        f"{file.relative_to(folder)}: {mark!r}"
        for file in folder.rglob("*")
        if file.is_file()
        for mark in marks
        if mark in file.read_bytes()
    ]


def test_search_finds_what_is_there(tmp_path: Path) -> None:
    (tmp_path / "plain").write_text(f"a{MARK}b")
    (tmp_path / "coded").write_bytes(base64.b64encode(f'{{"code": "{MARK}"}}'.encode()))
    assert {line.partition(":")[0] for line in found(tmp_path)} == {"plain", "coded"}


def test_marked_code_is_found_nowhere(tmp_path: Path) -> None:
    with lived("tests.faults.code_life", tmp_path) as life:
        assert life.stdout.splitlines() == [
            "broken: 500",
            "refused: 422",
            "signed out: 302",
            "given: 303",
            "seen: True",
            "with the code: 422",
            "asked again: 422",
        ]
        (tmp_path / "log.txt").write_text(life.stdout + life.stderr)
        # The log names the fault and not its words: those may hold what somebody typed.
        assert "RuntimeError" in life.stderr
        assert list(tmp_path.rglob("*.log")), "no letter was written"
        assert found(tmp_path) == []
