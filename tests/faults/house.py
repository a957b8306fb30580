"""The whole house as it really runs: the launcher, or web server and workers, over a database of its own.

`House.open` starts it in a process group, `House.kill` ends the group with SIGKILL. `Crowd` are customers who press
"Send the request" and press again until they are told that it was sent.
"""

import http.client
import os
import queue
import re
import secrets
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

from tests.faults.mail_server import Post
from tests.faults.scratch import ROOT, Nursery, surroundings
from tests.intake.request_walk import GOOD

PATIENCE = 60
SENT = re.compile(r"/your/([^/]+)/")
WORKER = ["-m", "celery", "--app", "shop.celery", "worker", "--beat", "--concurrency", "2", "--loglevel", "WARNING"]  # fmt: skip


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


class House:
    """One shop. `env` may be changed between a kill and the next `open`."""

    def __init__(self, folder: Path, *, address: str, post: Post) -> None:
        self.folder, self.post, self.port = folder, post, free_port()
        self.env = {
            **surroundings(folder, address=address, mail_port=post.port),
            "PORT": str(self.port),
            "SITE_ADDRESS": f"http://localhost:{self.port}",
        }
        self.nurse = Nursery(self.env)
        self.log = folder / "said.log"
        self._running: dict[str, subprocess.Popen[bytes]] = {}

    def start(self, name: str, *command: str) -> subprocess.Popen[bytes]:
        """A process in a group of its own; what it says is added to `self.log`."""
        with self.log.open("ab") as paper:
            process = subprocess.Popen(
                [sys.executable, *command],
                cwd=ROOT,
                env=self.env,
                stdin=subprocess.DEVNULL,
                stdout=paper,
                stderr=paper,
                start_new_session=True,
            )
        self._running[name] = process
        return process

    def open(self, *, first: str = "") -> None:
        """Open the shop; `first` is Python to run before the launcher, in its process: a limit made smaller, say."""
        launch = "import runpy, sys; sys.argv = ['manage.py', 'serve']; runpy.run_path('manage.py', run_name='__main__')"
        command = ["-c", f"{first}; {launch}"] if first else ["manage.py", "serve"]
        self.start("web", *command)
        self.wait_until_open()

    def open_worker(self) -> None:
        self.start("worker", *WORKER, "--schedule", str(self.folder / "beat"))

    def wait_until_open(self) -> None:
        web, until = self._running["web"], time.monotonic() + PATIENCE
        while time.monotonic() < until and web.poll() is None:
            try:
                if self.ask("GET", "/request/device/").status < 500:
                    return
            except OSError:
                time.sleep(0.03)
        raise AssertionError(f"the shop did not open:\n{self.said()[-3000:]}")

    def kill(self, name: str = "web", *, with_signal: int = signal.SIGKILL) -> int:
        """End a process and all its children; returns how it ended."""
        process = self._running.pop(name)
        if with_signal == signal.SIGKILL:
            with suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
        else:
            process.send_signal(with_signal)
        return process.wait(PATIENCE)

    def pid(self, name: str = "web") -> int:
        return self._running[name].pid

    def said(self) -> str:
        return self.log.read_text(errors="replace") if self.log.exists() else ""

    def close(self) -> None:
        for name in list(self._running):
            self.kill(name)

    def ask(
        self, method: str, path: str, *, timeout: float = 30, cookies: str = "", **fields: object
    ) -> "Answer":
        """One request by one customer. Raises OSError where the line breaks in whatever way."""
        door = http.client.HTTPConnection("127.0.0.1", self.port, timeout=timeout)
        headers = {"Cookie": cookies} if cookies else {}
        body = None
        if method == "POST":
            body = urlencode(fields, doseq=True).encode()
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        try:
            door.request(method, path, body, headers)
            answer = door.getresponse()
            return Answer(answer.status, answer.read().decode(errors="replace"), answer.headers)
        except http.client.HTTPException as fault:
            raise ConnectionError(f"{type(fault).__name__}: {fault}") from fault
        finally:
            door.close()

    def type_words(self, token: str, words: str, *, timeout: float = 30) -> "Answer":
        """Fill the page of what one sees anew and press Continue."""
        mark = secrets.token_hex(16)
        return self.ask(
            "POST",
            "/request/symptoms/",
            timeout=timeout,
            cookies=f"form={mark}; draft={token}",
            csrfmiddlewaretoken=mark,
            act="continue",
            symptoms="No picture",
            words=words,
        )

    def send_request(self, token: str, *, timeout: float = 30) -> "Answer":
        """Press "Send the request" on the last page of a prepared request."""
        mark = secrets.token_hex(16)
        return self.ask(
            "POST",
            "/request/check/",
            timeout=timeout,
            cookies=f"form={mark}; draft={token}",
            csrfmiddlewaretoken=mark,
            agreed="on",
            terms_version="1",
        )


@dataclass
class Answer:
    status: int
    text: str
    headers: http.client.HTTPMessage

    @property
    def sent_as(self) -> str:
        """The order code of a request that was sent, else ""."""
        found = SENT.match(self.headers.get("Location", "")) if self.status == 303 else None
        return found.group(1) if found else ""


@dataclass
class Crowd:
    """Customers at once. Each takes the next prepared request, sends it and presses again until it was sent."""

    house: House
    doors: list[list[str]]
    count: int = 4
    pause: float = 0.0
    sent: dict[str, str] = field(default_factory=dict)  # address of the customer: order code
    seconds: list[float] = field(default_factory=list)  # of answers at the first press
    broken: int = 0
    sorry: int = 0  # answers of 500 and above
    wrong: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._waiting: queue.SimpleQueue[list[str]] = queue.SimpleQueue()
        for door in self.doors:
            self._waiting.put(door)
        self._over = threading.Event()
        self._people = [threading.Thread(target=self._act, daemon=True) for _ in range(self.count)]

    def begin(self) -> None:
        for person in self._people:
            person.start()

    def finish(self, *, all_sent: bool = False) -> None:
        """Let each end what is in hand, or let them send all there is."""
        if not all_sent:
            self._over.set()
        for person in self._people:
            person.join(7200)
            assert not person.is_alive(), "a customer never came through"

    def _act(self) -> None:
        while not self._over.is_set():
            try:
                token, to = self._waiting.get_nowait()
            except queue.Empty:
                return
            code = self._through(token)
            # Every third presses once more after the answer: it must be the same order.
            if code and len(self.sent) % 3 == 0 and self._through(token) != code:
                self.wrong.append(f"{to} was told two codes")
            if code:
                self.sent[to] = code
            time.sleep(self.pause)

    def _through(self, token: str) -> str:
        until, first = time.monotonic() + 300, True
        while time.monotonic() < until:
            began = time.monotonic()
            try:
                answer = self.house.send_request(token)
            except OSError:
                self.broken += 1
                time.sleep(0.2)
            else:
                if answer.sent_as:
                    if first:
                        self.seconds.append(time.monotonic() - began)
                    return answer.sent_as
                if answer.status < 500:
                    self.wrong.append(
                        f"{answer.status} {answer.headers.get('Location', '')} {answer.text[:200]}"
                    )
                    return ""
                self.sorry += 1
                time.sleep(0.1)
            first = False
        self.wrong.append("no answer in five minutes")
        return ""


def fill_by_hand(house: House, *, to: str, name: str) -> str:
    """Walk the whole public form as a browser without script does; presses again where the line breaks. The code."""
    mark, draft = secrets.token_hex(16), ""
    for slug, typed in [*GOOD.items(), ("check", {"agreed": "on", "terms_version": "1"})]:
        fields = {**typed, **({"email": to, "name": name} if slug == "you" else {}), "act": "continue"}
        if slug == "check":
            time.sleep(3)  # a machine is asked to wait
            fields.pop("act")
        answer = _press(
            house, f"/request/{slug}/", f"form={mark}; draft={draft}", {**fields, "csrfmiddlewaretoken": mark}
        )
        found = re.search(r"draft=([^;]+)", " ".join(answer.headers.get_all("Set-Cookie", [])))
        draft = found.group(1) if found else draft
    return answer.sent_as


def _press(house: House, path: str, cookies: str, fields: dict[str, object]) -> Answer:
    until = time.monotonic() + 120
    while time.monotonic() < until:
        try:
            answer = house.ask("POST", path, cookies=cookies, **fields)
        except OSError:
            time.sleep(0.1)
            continue
        if answer.status < 500:
            assert answer.status == 303, (path, answer.status, answer.text[:500])
            return answer
        time.sleep(0.1)
    raise AssertionError(f"{path} was never taken")


@contextmanager
def house_of(folder: Path, *, address: str, post: Post) -> Iterator[House]:
    """A shop that is set up and closed, killed in the end with all that belongs to it."""
    house = House(folder, address=address, post=post)
    try:
        yield house
    finally:
        house.close()
        house.nurse.close()
