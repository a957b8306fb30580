"""The open house: clients that hang, thousands of requests, something stuck. Others are served, nothing grows, the owner reads it."""

import socket
import time
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.faults.house import Crowd, House
from tests.faults.test_house_killed import assert_nothing_lost, figures, percentile, wait_for_more

pytestmark = [pytest.mark.faults, pytest.mark.long]

HUNG = 200
COARSE = 10.0  # seconds; what a page really takes is measured and printed


def hang(house: House) -> socket.socket:
    """A client that says it will send a thousand bytes and sends three."""
    line = socket.create_connection(("127.0.0.1", house.port), timeout=10)
    line.sendall(b"POST /request/device/ HTTP/1.1\r\nHost: localhost\r\nContent-Length: 1000\r\n\r\nabc")
    return line


def test_two_hundred_hung_clients_keep_nobody_out(house):
    house.open()
    with ExitStack() as hung:
        for _ in range(HUNG):
            hung.enter_context(hang(house))
        times = []
        for _ in range(20):
            began = time.monotonic()
            assert house.ask("GET", "/request/device/", timeout=COARSE).status == 200
            times.append(time.monotonic() - began)
    print(
        f"{HUNG} hung clients: a page takes p50 {percentile(times, 0.5):.3f} s, p95 {percentile(times, 0.95):.3f} s"
    )


def memory_and_files(pid: int) -> tuple[int, int]:
    """Resident memory in KiB, open files."""
    status = Path(f"/proc/{pid}/status").read_text()
    resident = next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS"))
    return resident, len(list(Path(f"/proc/{pid}/fd").iterdir()))


def test_long_run_of_requests_grows_nothing(house, post, size):
    """Speed without faults is printed: each commit is synced to the disk before a customer is answered."""
    count, warm = size(80, 20_000), size(40, 1000)
    post.light = True
    crowd = Crowd(house, house.nurse.call("fill_drafts", tag="soaked", count=count))
    house.open()
    crowd.begin()
    wait_for_more(crowd, than=warm, patience=600)
    before = memory_and_files(house.pid())
    crowd.finish(all_sent=True)
    after = memory_and_files(house.pid())
    assert len(crowd.sent) == count
    house.kill()
    seen = assert_nothing_lost(house, post, "soaked", crowd)
    growth = after[0] / before[0] - 1
    print(
        figures(
            crowd,
            memory=f"{before[0]} -> {after[0]} KiB ({growth:+.1%})",
            files=f"{before[1]} -> {after[1]}",
            **seen,
        )
    )
    assert growth < size(25, 5) / 100
    assert after[1] <= before[1] + 8


def test_letter_that_is_stuck_stands_on_the_owners_page_within_a_minute(house, post):
    house.open()
    [token, _] = house.nurse.call("fill_drafts", tag="stuck", count=1)[0]
    assert house.send_request(token).sent_as
    cookie = house.nurse.call("let_owner_in")
    page = house.ask("GET", "/house/", cookies=cookie)
    assert page.status == 200
    assert "stuck: its reader was not told" not in page.text
    until = time.monotonic() + 60
    while house.nurse.call("stands", books=False)["waiting"] and time.monotonic() < until:
        time.sleep(0.2)
    house.nurse.call("letter_is", state="dead", tag="stuck")
    until = time.monotonic() + 60
    while "stuck: its reader was not told" not in (page := house.ask("GET", "/house/", cookies=cookie)).text:
        assert time.monotonic() < until, (page.status, page.text[:2000])
        time.sleep(0.5)
    house.nurse.call("letter_is", state="sent", tag="stuck")
