"""The launcher as a person meets it: opened, refused, closed, in a process of its own."""

import os
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
PATIENCE = 60
pytestmark = pytest.mark.faults


def surroundings(data: Path, port: int) -> dict[str, str]:
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    return {
        **kept,
        "BENCHPOST_DATA": str(data),
        "PORT": str(port),
        "SITE_ADDRESS": f"http://localhost:{port}",
        "DATABASE_URL": "",
        "REDIS_URL": "",
        "EMAIL_URL": "",
        "PYTHONUNBUFFERED": "1",
    }


def start(data: Path, port: int) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "manage.py", "serve"],
        cwd=ROOT,
        env=surroundings(data, port),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )


@pytest.fixture
def port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_until_open(shop: subprocess.Popen[str], port: int) -> None:
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until and shop.poll() is None:
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=5)
        except urllib.error.HTTPError:
            return
        except OSError:
            time.sleep(0.1)
        else:
            return
    shop.kill()
    pytest.fail(f"the shop did not open:\n{shop.communicate()[0]}")


def test_serve_in_an_empty_folder_opens_and_closes_when_asked(tmp_path, port):
    shop = start(tmp_path, port)
    wait_until_open(shop, port)
    shop.send_signal(signal.SIGTERM)
    said, _ = shop.communicate(timeout=PATIENCE)
    assert shop.returncode == 0, said
    assert f"Benchpost is open at http://localhost:{port}/" in said
    assert said.rstrip().endswith("Closed.")
    assert "Traceback" not in said
    with sqlite3.connect(tmp_path / "benchpost.sqlite3") as link:
        assert link.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert link.execute("SELECT count(*) FROM cache_rows").fetchone() == (0,)
    link.close()


def test_serve_when_the_port_is_taken_says_so_and_touches_nothing(tmp_path, port):
    with socket.socket() as other:
        other.bind(("127.0.0.1", port))
        other.listen()
        said, _ = (shop := start(tmp_path, port)).communicate(timeout=PATIENCE)
    assert shop.returncode == 1
    assert said.strip() == (
        f"CommandError: Port {port} on 127.0.0.1 is in use or not there; choose another: PORT=8001 make demo"
    )
    assert not (tmp_path / "benchpost.sqlite3").exists()


def test_serve_when_a_setting_is_wrong_ends_with_its_sentence(tmp_path, port):
    wrong = {**surroundings(tmp_path, port), "EMAIL_URL": "mail.example.com"}
    done = subprocess.run(
        [sys.executable, "manage.py", "serve"],
        cwd=ROOT,
        env=wrong,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert done.stderr.startswith("A setting is wrong: EMAIL_URL cannot be used; write smtp://")
    assert done.stderr.count("\n") == 1


def test_serve_after_a_kill_opens_again_over_the_same_rows(tmp_path, port):
    shop = start(tmp_path, port)
    wait_until_open(shop, port)
    shop.kill()
    shop.communicate(timeout=PATIENCE)
    again = start(tmp_path, port)
    wait_until_open(again, port)
    again.send_signal(signal.SIGINT)
    said, _ = again.communicate(timeout=PATIENCE)
    assert again.returncode == 0, said
    assert "Closed" in said
