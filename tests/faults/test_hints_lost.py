"""The larger set-up: web server, Celery worker with its beat, Redis. The hints may be lost in any way, no effect is.

Redis keeps nothing on disk here: when it is killed, all that was queued is gone.
"""

import os
import random
import signal
import subprocess
import time

import pytest
from django.db import connection

from tests.faults.cluster import hints
from tests.faults.house import Crowd
from tests.faults.test_house_killed import assert_nothing_lost, figures, wait_for_more

pytestmark = [
    pytest.mark.faults,
    pytest.mark.long,
    pytest.mark.skipif(connection.vendor != "postgresql", reason="several machines share a PostgreSQL"),
]


@pytest.fixture
def redis(house, post, tmp_path):
    """A Redis for the house, which is opened with a worker beside it."""
    with hints(tmp_path) as own:
        house.env = {**house.env, "REDIS_URL": own.address}
        post.light = True
        house.open()
        house.open_worker()
        yield own


def one_by_one(house, *, tag: str, count: int) -> None:
    """So many requests, sent and answered."""
    for token, _ in house.nurse.call("fill_drafts", tag=tag, count=count):
        began = time.monotonic()
        answer = house.send_request(token)
        assert answer.sent_as, (answer.status, answer.text[:500])
        assert time.monotonic() - began < 30, "a broker that is away must not hold a page"


def wait_for_letters(house, post, *, tag: str, count: int) -> None:
    """They go by themselves: nobody helps, and a minute in which none goes is a fault."""
    arrived, until = -1, 0.0
    while arrived < count:
        now = len([to for to in post.copies() if to.startswith(f"{tag}-")])
        if now > arrived:
            arrived, until = now, time.monotonic() + 60
        assert time.monotonic() < until, f"only {arrived} of {count} letters went by themselves"
        time.sleep(0.2)


def test_redis_killed_again_and_again_loses_no_letter(house, post, redis, size):
    kills, dice = size(2, 50), random.Random(20261103)
    crowd = Crowd(house, house.nurse.call("fill_drafts", tag="hinted", count=kills * 60), pause=0.2)
    crowd.begin()
    for _ in range(kills):
        wait_for_more(crowd, than=len(crowd.sent) + 1)
        time.sleep(dice.uniform(0, 0.5))
        redis.kill()
        wait_for_more(crowd, than=len(crowd.sent) + 1)
        redis.start()
    crowd.finish()
    assert crowd.sorry == 0, "no page fails because a hint could not be given"
    wait_for_letters(house, post, tag="hinted", count=len(crowd.sent))
    house.kill("worker")
    house.kill()
    seen = assert_nothing_lost(house, post, "hinted", crowd)
    print(figures(crowd, redis_kills=kills, **seen))


def test_redis_that_is_full_fails_no_page_and_the_beat_finds_the_letters(house, post, redis):
    redis.say("config", "set", "maxmemory-policy", "noeviction")
    redis.say("config", "set", "maxmemory", "1kb")
    one_by_one(house, tag="brimful", count=2)
    redis.say("config", "set", "maxmemory", "0")
    wait_for_letters(house, post, tag="brimful", count=2)


def test_worker_and_its_children_killed_again_and_again_lose_no_letter(house, post, redis, size):
    kills, dice = size(2, 50), random.Random(20261104)
    crowd = Crowd(house, house.nurse.call("fill_drafts", tag="worked", count=kills * 60), pause=0.2)
    crowd.begin()
    for number in range(kills):
        wait_for_more(crowd, than=len(crowd.sent) + 2)
        time.sleep(dice.uniform(0, 0.5))
        if number % 2:
            kill_a_child(house.pid("worker"))
        else:
            house.kill("worker")
            house.open_worker()
    crowd.finish()
    # The last kill may have left a lease of three minutes: the rest is delivered below.
    wait_for_letters(house, post, tag="worked", count=len(crowd.sent) - 2 * kills)
    house.kill("worker")
    house.kill()
    seen = assert_nothing_lost(house, post, "worked", crowd)
    print(figures(crowd, worker_kills=kills, **seen))


def kill_a_child(worker: int) -> None:
    """One of the pool, not the beat; there may be none yet."""
    told = subprocess.run(["pgrep", "-P", str(worker)], capture_output=True, text=True, check=False)
    for pid in told.stdout.split()[-1:]:
        os.kill(int(pid), signal.SIGKILL)
