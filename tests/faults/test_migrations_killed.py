"""A populated database of before is brought forward, and killed at any moment of it: old or new, never half, and it goes on."""

import json
import random
import subprocess
import sys
import time
from collections import Counter
from contextlib import ExitStack
from pathlib import Path

import pytest

from shop.setup.database import Newer
from tests.faults.scratch import ROOT, database, surroundings

pytestmark = [pytest.mark.faults]
ORDERS = 40


def said_by(env, deed, *given):
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.migrating", deed, *map(str, given)],
        cwd=ROOT, env=env, capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-3000:]
    return json.loads(done.stdout.splitlines()[-1])


def start(env, deed):
    return subprocess.Popen(
        [sys.executable, "-m", "tests.faults.migrating", deed],
        cwd=ROOT, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip


@pytest.fixture(scope="session")
def before(_shop, tmp_path_factory):
    """The address of a populated database of before, and what it looks like after each change that is missing."""
    with ExitStack() as stack:
        address = stack.enter_context(database(tmp_path_factory.mktemp("before"), like=_shop))
        said_by(env_of(tmp_path_factory.mktemp("data"), address), "back", ORDERS)
        copy = stack.enter_context(database(tmp_path_factory.mktemp("steps"), like=address))
        yield address, said_by(env_of(tmp_path_factory.mktemp("data"), copy), "steps")


def env_of(folder, address):
    return surroundings(Path(folder), address=address, mail_port=1)


@pytest.mark.long
def test_change_that_is_killed_leaves_old_or_new_and_goes_on(before, tmp_path, size):
    address, steps = before
    shapes = {one["recorded"]: one["shape"] for one in steps}
    assert len(steps) > 1, "no change is newer than what was landed"
    rounds, seen = size(2, 50), Counter()
    whole = duration(address, tmp_path)
    for number in range(rounds):
        folder = tmp_path / str(number)
        folder.mkdir()
        with database(folder, like=address) as copy:
            env = env_of(folder, copy)
            kill_within(env, random.uniform(0, whole))
            done = said_by(env, "finish")
        struck, after = done["struck"], done["after"]
        assert shapes[struck["recorded"]] == struck["shape"], "half a change was left behind"
        assert after == steps[-1]
        assert struck["rows"] == steps[0]["rows"]
        assert done["broken"] is None
        seen[struck["recorded"] - steps[0]["recorded"]] += 1
        print(f"kill {number + 1}: {struck['recorded'] - steps[0]['recorded']} changes were made", flush=True)
    print(f"{rounds} kills, by how many of {len(steps) - 1} changes were made: {sorted(seen.items())}")


def duration(address, folder):
    with database(folder, like=address) as copy:
        process = start(env_of(folder, copy), "go")
        assert process.stdout.readline() == "now\n"
        began = time.monotonic()
        assert process.wait(120) == 0, process.stderr.read()
        return time.monotonic() - began


def kill_within(env, seconds):
    with start(env, "go") as process:
        assert process.stdout.readline() == "now\n"
        time.sleep(seconds)
        process.kill()


def test_two_that_change_it_at_once_do_so_one_after_the_other(before, tmp_path):
    address, steps = before
    with database(tmp_path, like=address) as copy:
        env = env_of(tmp_path, copy)
        both = [start(env, "start") for _ in range(2)]
        told = [process.communicate(timeout=180) for process in both]
    assert [process.returncode for process in both] == [0, 0], told
    found = [json.loads(out.splitlines()[-1]) for out, _ in told]
    for one in found:
        assert (one["recorded"], one["shape"]) == (steps[-1]["recorded"], steps[-1]["shape"])
    assert sum(len(one["said"]) for one in found) <= 1


@pytest.mark.django_db
def test_older_program_refuses_a_database_of_a_newer_one():
    from django.db.migrations.recorder import MigrationRecorder

    from shop.setup import database as setup

    setup.refuse_any_other()
    MigrationRecorder.Migration.objects.create(app="shop", name="9999_of_tomorrow")
    with pytest.raises(
        Newer, match=r"newer version of Benchpost than this one \(it holds shop 9999_of_tomorrow\)"
    ):
        setup.refuse_newer()


@pytest.mark.django_db
def test_worker_refuses_a_database_that_was_not_brought_forward(monkeypatch):
    from shop import celery
    from shop.setup import database as setup

    monkeypatch.setattr(setup, "missing_migrations", lambda: 2)
    with pytest.raises(SystemExit, match="has not been brought to this version yet"):
        celery._refuse_another_version()


def test_no_change_of_the_database_may_be_made_by_halves():
    files = [
        path for floor in ("intake", "quotes", "shop") for path in (ROOT / floor / "migrations").glob("*.py")
    ]
    assert len(files) > 20
    assert [
        path.name
        for path in files
        if "atomic = False" in path.read_text() or "atomic=False" in path.read_text()
    ] == []
