"""The launcher's parts: the machine looked at, the database brought up to date, the rounds that never die."""

import socket
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from django.db import connection

from shop.setup import database, machine, pure
from shop.setup.rounds import Rounds

ROOT = Path(__file__).resolve().parent.parent.parent
PATIENCE = 10


@pytest.fixture
def taken_port():
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        yield other.getsockname()[1]


def test_port_that_is_taken_is_refused_in_one_sentence(taken_port, capsys):
    assert machine.main(["port", str(taken_port)]) == 1
    assert capsys.readouterr().err == (
        f"Port {taken_port} on 127.0.0.1 is in use or not there; choose another: PORT=8001 make demo\n"
    )


def test_port_that_is_free_passes(taken_port):
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        free = probe.getsockname()[1]
    assert machine.main(["port", str(free)]) == 0


@pytest.mark.parametrize("words", [["port", "eighty"], ["port", "99999"], [], ["kitchen"]])
def test_question_that_makes_no_sense_is_refused(words, capsys):
    assert machine.main(words) == 1
    assert capsys.readouterr().err.count("\n") == 1


def test_library_that_is_missing_names_the_command(monkeypatch):
    monkeypatch.setattr(machine, "LIBRARIES", {"libnot-there.so.9": "libnot-there9"})
    monkeypatch.setattr(machine.os, "geteuid", lambda: 1000)
    with pytest.raises(machine.Missing, match="sudo apt-get install .* libnot-there9$"):
        machine.look_at_libraries()


def test_python_that_is_too_old_is_named(monkeypatch):
    monkeypatch.setattr(machine, "OLDEST_PYTHON", (9, 0))
    with pytest.raises(machine.Missing, match="is too old; install Python 3.11 or newer"):
        machine.look_at_python()


def test_machine_is_looked_at_without_any_package():
    done = subprocess.run(
        [sys.executable, "-I", "-S", "shop/setup/machine.py", "python"], cwd=ROOT, check=False
    )
    assert done.returncode == 0


@pytest.mark.django_db(transaction=True)
def test_copy_before_a_change_holds_the_rows(settings, tmp_path, at):
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL is copied by its own tools")
    settings.DATA = tmp_path
    copy = database.copy_before_change(at)
    with sqlite3.connect(copy) as link:
        assert link.execute("SELECT count(*) FROM django_migrations").fetchone()[0] > 0
    link.close()
    assert copy.stat().st_mode & 0o077 == 0


@pytest.mark.django_db
def test_database_that_is_up_to_date_is_not_copied(settings, tmp_path, at):
    settings.DATA = tmp_path
    assert database.missing_migrations() == 0
    assert database.bring_up_to_date(at) is None
    # What stays is the lock that keeps two from changing it at once.
    assert {path.name for path in tmp_path.iterdir()} <= {"changing.lock"}


def test_rounds_go_on_after_a_fault_and_wake_at_once(monkeypatch, caplog):
    monkeypatch.setattr("shop.setup.rounds.REST_AFTER_FAULT", 0.01)
    calls, third = [], threading.Event()

    def work() -> None:
        calls.append(1)
        if len(calls) == 1:
            raise RuntimeError("the mail server is away")
        if len(calls) == 3:
            third.set()

    rounds = Rounds("letters", work, pause=PATIENCE * 10)
    rounds.start()
    for _ in range(200):
        if len(calls) == 2:
            break
        threading.Event().wait(0.01)
    rounds.wake()
    assert third.wait(PATIENCE)
    assert rounds.stop(PATIENCE)
    assert "letters: this round failed" in caplog.text


def test_rounds_that_stop_finish_the_work_in_hand():
    started, go_on, finished = threading.Event(), threading.Event(), []

    def work() -> None:
        started.set()
        go_on.wait(PATIENCE)
        finished.append(True)

    rounds = Rounds("letters", work, pause=0.01)
    rounds.start()
    assert started.wait(PATIENCE)
    assert not rounds.stop(patience=0.05)
    go_on.set()
    assert rounds.stop(PATIENCE)
    assert finished == [True]


def test_module_that_reaches_django_through_another_is_not_pure(tmp_path):
    for floor in pure.FLOORS:
        (tmp_path / floor).mkdir()
    (tmp_path / "intake" / "rows.py").write_text("from django.db import models\n")
    (tmp_path / "intake" / "middle.py").write_text("from intake import rows\n")
    (tmp_path / "intake" / "sums.py").write_text("from decimal import Decimal\n")
    assert [path.name for path in pure.pure_modules(tmp_path)] == ["sums.py"]
