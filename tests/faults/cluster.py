"""A PostgreSQL cluster and a Redis of a test's own, which may be killed without anybody else noticing."""

import os
import shutil
import signal
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.faults.house import free_port


class Cluster:
    """PostgreSQL in a folder of its own, run by the system's user postgres."""

    def __init__(self, folder: Path, binaries: Path) -> None:
        self.port, self._folder, self._binaries = free_port(), folder, binaries

    @property
    def address(self) -> str:
        return f"postgres://postgres@127.0.0.1:{self.port}/postgres"

    def _run(self, program: str, *words: str) -> None:
        subprocess.run(
            ["runuser", "-u", "postgres", "--", str(self._binaries / program), *words],
            cwd="/",
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            check=True,
        )

    def make(self) -> None:
        self._run("initdb", "-D", str(self._folder), "--auth=trust", "--encoding=UTF8", "--locale=C.UTF-8")

    def copy(self, address: str) -> None:
        """Take over the database at another address, whole."""
        with subprocess.Popen(
            [self._binaries / "pg_dump", "--no-owner", address.replace("postgres:@", "postgres@")],
            stdout=subprocess.PIPE,
        ) as dump:
            subprocess.run(
                [self._binaries / "psql", "--quiet", "--set", "ON_ERROR_STOP=1", self.address],
                stdin=dump.stdout, stdout=subprocess.DEVNULL, check=True,
            )  # fmt: skip
        assert dump.returncode == 0

    def start(self, *, connections: int = 60) -> None:
        options = f"-p {self.port} -c listen_addresses=127.0.0.1 -c unix_socket_directories='' -c max_connections={connections}"  # fmt: skip
        self._run(
            "pg_ctl", "-D", str(self._folder), "-w", "-l", f"{self._folder}/said", "-o", options, "start"
        )

    def fall(self) -> None:
        """Every process of it ends at once, as at a power cut of the database machine; it recovers at the next start."""
        self._run("pg_ctl", "-D", str(self._folder), "-m", "immediate", "stop")


@contextmanager
def cluster() -> Iterator[Cluster]:
    """A cluster that runs. Skips where PostgreSQL is not installed or this is not root."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda place: float(place.parent.name))
    if os.geteuid() != 0 or not found or not shutil.which("runuser"):
        pytest.skip("a cluster of its own needs root and an installed PostgreSQL")
    # The system's user postgres may not look into a test's own folder.
    made = subprocess.run(["mktemp", "--directory"], capture_output=True, text=True, check=True)
    room = Path(made.stdout.strip())
    shutil.chown(room, "postgres")
    own = Cluster(room / "data", found[-1])
    try:
        own.make()
        own.start()
        yield own
    finally:
        subprocess.run(
            ["runuser", "-u", "postgres", "--", str(found[-1] / "pg_ctl"), "-D", str(room / "data"), "-m", "immediate", "stop"],
            cwd="/", stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False,
        )  # fmt: skip
        shutil.rmtree(room, ignore_errors=True)


class Hints:
    """A Redis that keeps nothing on disk."""

    def __init__(self, folder: Path) -> None:
        self.port, self._folder = free_port(), folder
        self._process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        return f"redis://127.0.0.1:{self.port}/0"

    def start(self) -> None:
        self._process = subprocess.Popen(
            ["redis-server", "--bind", "127.0.0.1", "--port", str(self.port), "--dir", str(self._folder), "--save", "", "--appendonly", "no"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        until = time.monotonic() + 20
        while self.say("ping").strip() != "PONG":
            assert time.monotonic() < until, "Redis did not start"
            time.sleep(0.05)

    def say(self, *words: str) -> str:
        told = ["redis-cli", "-p", str(self.port), *words]
        return subprocess.run(told, capture_output=True, text=True, check=False).stdout

    def kill(self) -> None:
        if self._process is not None:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait(10)
            self._process = None


@contextmanager
def hints(folder: Path) -> Iterator[Hints]:
    """A Redis that runs. Skips where none is installed."""
    if not shutil.which("redis-server"):
        pytest.skip("Redis is not installed")
    own = Hints(folder)
    own.start()
    try:
        yield own
    finally:
        own.kill()
