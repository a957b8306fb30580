"""The table of the security standard: every requirement of levels 1 and 2 met, shown or left out with a reason.

Source: OWASP Application Security Verification Standard 5.0.0 (May 2025), its published list of requirements:
345, of which 70 of level 1, 183 of level 2 and 92 of level 3. Only numbers and levels are taken from it.
"""

import ast
import csv
import functools
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
LEAST_REASON = 20
# Of level 3 those that are cheap and real here: formulas, patterns, policy reports, methods, quotas, pixels, embedding.
LEVEL_3 = {"1.2.10", "1.3.12", "2.3.5", "3.4.7", "3.4.8", "3.5.8", "4.1.4", "5.2.4", "5.2.6"}
# Requirements of level 1, 2 and 3 a chapter, as published.
CHAPTERS = {
    1: (8, 19), 2: (4, 7), 3: (8, 11), 4: (2, 8), 5: (4, 5), 6: (13, 22), 7: (6, 12), 8: (4, 3), 9: (4, 3), 10: (5, 24),
    11: (3, 11), 12: (3, 6), 13: (1, 12), 14: (2, 7), 15: (3, 10), 16: (0, 16), 17: (0, 7),
}  # fmt: skip


@functools.cache
def rows() -> list[dict[str, str]]:
    with (ROOT / "fixtures" / "security" / "asvs-5.0.csv").open(encoding="utf-8", newline="") as paper:
        return list(csv.DictReader(paper))


@functools.cache
def named_in(path: str) -> set[str]:
    """Names of the tests of a file, with their class before them where they have one."""
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    found = {node.name for node in tree.body if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)}
    for node in tree.body:
        if isinstance(node, ast.ClassDef):
            found |= {f"{node.name}::{one.name}" for one in node.body if isinstance(one, ast.FunctionDef)}
    return {name for name in found if name.split("::")[-1].startswith("test_")}


def wrong_tests(shown: str) -> list[str]:
    """Names among `shown` behind which no test stands."""
    wrong = []
    for each in shown.split():
        path, _, name = each.partition("::")
        if not (ROOT / path).is_file() or name not in named_in(path):
            wrong.append(each)
    return wrong


def wrong_places(where: str) -> list[str]:
    """Modules, folders and files among `where` that are not there."""
    wrong = []
    for each in where.split():
        module = ROOT.joinpath(*each.split("."))
        if not (ROOT / each).exists() and not module.with_suffix(".py").is_file() and not module.is_dir():
            wrong.append(each)
    return wrong


def test_table_has_every_requirement_of_levels_1_and_2_once() -> None:
    numbers = [row["id"] for row in rows()]
    assert len(numbers) == len(set(numbers))
    levels = Counter(row["level"] for row in rows())
    assert (levels["1"], levels["2"]) == (70, 183)
    assert {row["id"] for row in rows() if row["level"] == "3"} == LEVEL_3
    for chapter, counts in CHAPTERS.items():
        here = Counter(row["level"] for row in rows() if row["id"].split(".")[0] == str(chapter))
        assert (here["1"], here["2"]) == counts, chapter


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["id"])
def test_row_names_what_shows_it_or_why_not(row: dict[str, str]) -> None:
    assert row["applies"] in ("yes", "no", "deployment")
    assert row["shown_by"] or len(row["reason"]) >= LEAST_REASON
    assert row["applies"] != "no" or len(row["reason"]) >= LEAST_REASON
    assert row["where"] or row["applies"] == "no"
    assert wrong_tests(row["shown_by"]) == []
    assert wrong_places(row["where"]) == []


def test_a_test_or_a_place_that_is_not_there_is_noticed() -> None:
    here = "tests/outside/test_asvs_table.py"
    good = f"{here}::test_a_test_or_a_place_that_is_not_there_is_noticed"
    assert wrong_tests(f"{good} {here}::test_none tests/none.py::test_x {here}::rows") == [
        f"{here}::test_none",
        "tests/none.py::test_x",
        f"{here}::rows",
    ]
    assert wrong_places("shop.guard templates shop.none DEVELOPERS.md") == ["shop.none"]
