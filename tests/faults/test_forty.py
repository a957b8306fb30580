"""The table of faults: forty of them, each with what is expected and with tests that are there."""

import ast
import csv
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TABLE = Path(__file__).with_name("forty.csv")


def rows() -> list[dict[str, str]]:
    with TABLE.open(newline="") as file:
        return list(csv.DictReader(file))


@cache
def names_in(place: str) -> set[str]:
    tree = ast.parse((ROOT / place).read_text())
    return {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}


def test_table_has_forty_faults_each_once():
    assert [int(row["number"]) for row in rows()] == list(range(1, 41))
    assert len({row["fault"] for row in rows()}) == 40
    assert all(row["expected"] for row in rows())
    assert {row["engines"] for row in rows()} <= {"both", "sqlite", "postgresql"}


def test_every_fault_has_tests_that_exist():
    for row in rows():
        named = [test.split("::") for test in row["tests"].split()]
        assert named, row["fault"]
        for place, name in named:
            assert name in names_in(place), f"{row['number']}: {name} is not in {place}"
