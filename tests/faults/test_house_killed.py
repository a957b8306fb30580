"""The whole house is killed again and again while customers send requests: none that was acknowledged is lost, none is
doubled, each has its letter, and a second copy of a letter says why it comes.

Real processes, a real mail server, SIGKILL of the process group at random moments, on the engine the tests run on.
A process kill is no power cut: the kernel keeps what was written.
"""

import random
import signal
import threading
import time
from collections import Counter
from typing import Any

import pytest

from tests.faults.house import Crowd, House, fill_by_hand
from tests.faults.mail_server import Post, text_of

pytestmark = [pytest.mark.faults, pytest.mark.long]

WHY = "This is the same letter once more."
WHOLE = {"chain": None, "books": [], "doubled": [], "halves": []}


def percentile(values: list[float], share: float) -> float:
    return sorted(values)[int(len(values) * share)] if values else 0.0


def figures(crowd: Crowd, **more: Any) -> str:
    times = [round(percentile(crowd.seconds, share) * 1000, 1) for share in (0.5, 0.95, 0.99)]
    said = {
        "acknowledged": len(crowd.sent),
        "broken lines": crowd.broken,
        "500 and above": crowd.sorry,
        **more,
    }
    return f"{said}, ms p50/p95/p99 {times}"


def assert_nothing_lost(house: House, post: Post, tag: str, crowd: Crowd) -> Counter:
    """Counts of what happened; the letters are delivered first, by a drainer that comes after all leases ran out."""
    assert crowd.wrong == []
    house.nurse.call("drain_later", rounds=3)
    orders, stands = house.nurse.call("requests_now", tag=tag), house.nurse.call("stands")
    assert {name: stands[name] for name in WHOLE} == WHOLE
    assert (stands["waiting"], stands["open_tries"]) == (0, 0)
    known = {order["to"]: order["code"] for order in orders}
    assert len(known) == len(orders), "one order a request"
    assert {to: known.get(to) for to in crowd.sent} == crowd.sent, "what was acknowledged is there"
    copies, seen = post.copies(), Counter(orders=len(orders))
    for order in orders:
        assert_one_order(order, copies.get(order["to"], []), seen)
    return seen


def assert_one_order(order: dict[str, Any], mails: list, seen: Counter) -> None:
    assert order["whole"] and order["lines"] == [10, 20] and order["papers"] == 4, order
    [letter] = order["letters"]
    assert (letter["kind"], letter["state"], letter["papers"]) == ("request_received", "sent", 1)
    assert mails, f"{order['code']} has no letter"
    assert {mail["Message-ID"] for mail in mails} == {letter["message_id"]}
    assert all(WHY in text_of(mail) for mail in mails[1:])
    results = [result for _, result, _ in letter["tries"]]
    assert results.count("accepted") == 1
    assert all(why for (_, before, _), (_, _, why) in zip(letter["tries"], letter["tries"][1:], strict=False) if before == "unsure")  # fmt: skip
    seen["second copies"] += len(mails) - 1
    seen["unsure tries"] += results.count("unsure")


def test_kills_under_customers_lose_and_double_nothing(house, post, size):
    """In spells, each looked through from end to end, so that a long run that is cut off has proved something."""
    dice, post.light = random.Random(20261101), True
    for spell in range(size(1, 10)):
        house.open()
        kills, tag = size(3, 50), f"killed{spell}"
        crowd = Crowd(house, house.nurse.call("fill_drafts", tag=tag, count=kills * 20), pause=0.25)
        crowd.begin()
        ways = kill_house(house, crowd, dice, kills=kills)
        crowd.finish()
        house.kill()
        seen = assert_nothing_lost(house, post, tag, crowd)
        assert ways == {-signal.SIGKILL: kills}
        assert seen["orders"] >= kills, "customers must come through between two kills"
        print(figures(crowd, spell=spell, kills=kills, **seen), flush=True)


def kill_house(house: House, crowd: Crowd, dice: random.Random, *, kills: int) -> Counter:
    ways: Counter = Counter()
    for _ in range(kills):
        wait_for_more(crowd, than=len(crowd.sent) + 1)
        time.sleep(dice.uniform(0, 0.8))
        ways[house.kill()] += 1
        house.open()
    return ways


def test_form_filled_by_hand_while_the_house_dies_comes_through(house, post):
    house.open()
    killer = threading.Timer(1.5, lambda: (house.kill(), house.open()))
    killer.start()
    code = fill_by_hand(house, to="hand-1@example.com", name="Mara Ellwick")
    killer.join()
    house.kill()
    house.nurse.call("drain_later")
    [order] = house.nurse.call("requests_now", tag="hand")
    assert (order["code"], len(post.copies()["hand-1@example.com"])) == (code, 1)


def wait_for_more(crowd: Crowd, *, than: int, patience: float = 30) -> None:
    until = time.monotonic() + patience
    while len(crowd.sent) < than and time.monotonic() < until:
        time.sleep(0.002)
