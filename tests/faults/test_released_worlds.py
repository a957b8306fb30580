"""Every world that a version before kept comes forward whole: `fixtures/released` holds one a version and engine."""

import lzma
from pathlib import Path

import pytest
from django.db import connection

from tests.faults.scratch import ROOT, database, surroundings
from tests.faults.test_migrations_killed import said_by

pytestmark = pytest.mark.faults
ENDING = {"sqlite": ".sqlite3.xz", "postgresql": ".sql.xz"}
KEPT = sorted(path.name.partition(".")[0] for path in (ROOT / "fixtures" / "released").glob("*.sqlite3.xz"))


def lay_down(name: str, address: str) -> None:
    kept = lzma.decompress((ROOT / "fixtures" / "released" / (name + ENDING[connection.vendor])).read_bytes())
    if connection.vendor == "sqlite":
        Path(address.removeprefix("sqlite:///")).write_bytes(kept)
        return
    import psycopg

    with psycopg.connect(address, autocommit=True) as link:
        link.execute(kept.decode())


@pytest.mark.parametrize("name", KEPT)
def test_world_of_a_version_before_comes_forward_whole(name: str, tmp_path: Path) -> None:
    with database(tmp_path) as address:
        lay_down(name, address)
        told = said_by(surroundings(tmp_path, address=address, mail_port=1), "carry")
    before, after = told["before"], told["after"]
    assert before["rows"][0] > 50, "a world with its orders"
    assert (after["rows"], after["recorded"] >= before["recorded"]) == (before["rows"], True)


def test_each_version_kept_its_world_for_both_engines() -> None:
    files = {path.name for path in (ROOT / "fixtures" / "released").iterdir()}
    assert files == {name + ending for name in KEPT for ending in ENDING.values()}
    assert KEPT
