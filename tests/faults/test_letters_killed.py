"""The drainer dies again and again: no letter is lost, none is repeated silently.

A real process, a real mail server, SIGKILL at random moments and at named points.
"""

import random
import signal
import time
from collections import Counter

import pytest

from tests.faults.mail_server import Post, text_of

pytestmark = [pytest.mark.faults, pytest.mark.long]

WHY = "This is the same letter once more."


def kill_again_and_again(nurse, post: Post, *, kills: int) -> Counter:
    """Let a drainer begin, kill it somewhere between its first letter and its fifth; in the end let one finish."""
    ways: Counter = Counter()
    dice = random.Random(20260202)
    for round_number in range(1, kills + 1):
        seen = len(post.mails)
        child = nurse.start("drain_at", minutes=10 * round_number)
        until = time.monotonic() + 10
        while len(post.mails) == seen and time.monotonic() < until:
            time.sleep(0.0005)
        time.sleep(dice.uniform(0, 0.08))
        ways[nurse.kill(child)] += 1
    nurse.call("drain_at", minutes=10 * (kills + 1))
    return ways


def arrived_of(post: Post, tag: str) -> dict:
    return {to: mails for to, mails in post.copies().items() if to.startswith(f"{tag}-")}


def assert_same_letter(rows: list, arrived: dict) -> None:
    """One row a letter, tries without a gap, one Message-ID however many copies, each further copy with its reason."""
    for row in rows:
        assert [number for number, _, _ in row["tries"]] == list(range(1, len(row["tries"]) + 1))
        assert [result for _, result, _ in row["tries"]].count("accepted") <= 1
        copies = arrived.get(row["to"], [])
        assert {mail["Message-ID"] for mail in copies} <= {row["message_id"]}
        assert all(WHY in text_of(mail) for mail in copies[1:])


def test_fifty_kills_lose_no_letter_and_repeat_none_silently(nurse, post, size):
    kills = size(50, 1000)
    nurse.call("write_letters", tag="again", count=8 * kills)
    ways = kill_again_and_again(nurse, post, kills=kills)
    rows, arrived = nurse.call("letters_now", tag="again"), arrived_of(post, "again")
    assert ways[-signal.SIGKILL] >= kills * 0.96, "most children must die while they work"
    assert len(rows) == 8 * kills
    assert {row["state"] for row in rows} == {"sent"}
    assert set(arrived) == {row["to"] for row in rows}
    assert_same_letter(rows, arrived)
    broken = [row for row in rows if "unsure" in [result for _, result, _ in row["tries"]]]
    assert len(broken) >= kills // 5, "the kills must fall into letters under way"
    assert all(row["tries"][-1][2] for row in broken)
    doubled = sum(len(mails) - 1 for mails in arrived.values())
    print(
        f"{kills} kills, {len(rows)} letters, 0 lost, {len(broken)} unsure, {doubled} second copies, each with its reason"
    )


def test_kills_where_the_shop_holds_unsure_letters_repeat_none(nurse, post, size):
    kills = size(20, 1000)
    nurse.call("write_letters", tag="hold", count=10 * kills, unsure="hold")
    kill_again_and_again(nurse, post, kills=kills)
    rows, arrived = nurse.call("letters_now", tag="hold"), arrived_of(post, "hold")
    assert {row["state"] for row in rows} == {"sent", "held"}
    assert all(len(mails) == 1 for mails in arrived.values())
    held = {row["to"] for row in rows if row["state"] == "held"}
    assert {row["to"] for row in rows} - set(arrived) <= held, "what did not arrive is in front of a person"
    for row in rows:
        assert ("unsure" in [result for _, result, _ in row["tries"]]) == (row["state"] == "held")
    print(
        f"{kills} kills, {len(rows)} letters, {len(held)} held, {len(held & set(arrived))} of them arrived, 0 doubled"
    )


POINTS = {
    # where it dies: (copies when sent again, copies when held)
    "before the try row": (1, 1),
    "after the try row": (1, 0),
    "while the server takes it": (2, 1),
    "after the server's yes": (2, 1),
    "before the result is committed": (2, 1),
}


@pytest.mark.parametrize("unsure", ["resend", "hold"])
@pytest.mark.parametrize("point", POINTS)
def test_death_at_a_named_point_loses_nothing(nurse, post, size, point, unsure):
    for number in range(size(1, 20)):
        die_at(nurse, post, point, unsure, tag=f"{unsure}-{list(POINTS).index(point)}-{number}")


def die_at(nurse, post: Post, point: str, unsure: str, *, tag: str) -> None:
    nurse.call("write_letters", tag=tag, count=1, unsure=unsure)
    if point == "while the server takes it":
        # The server holds the letter in its hands and the drainer dies before the answer.
        post.pause = 0.5
        child = nurse.start("drain_at", minutes=0)
        post.kill_on_data = child
    else:
        child = nurse.start("drain_and_die", minutes=0, point=point)
    assert nurse.ended(child) == -signal.SIGKILL
    post.pause = 0.0
    assert nurse.call("drain_at", minutes=10) == 1
    [row], copies = nurse.call("letters_now", tag=tag), arrived_of(post, tag)
    again, held = POINTS[point]
    assert len(copies.get(row["to"], [])) == (again if unsure == "resend" else held)
    clean = point == "before the try row"
    assert row["state"] == ("held" if unsure == "hold" and not clean else "sent")
    assert [result for _, result, _ in row["tries"]] == (
        ["accepted"] if clean else ["unsure", "accepted"] if unsure == "resend" else ["unsure"]
    )
    assert_same_letter([row], copies)
