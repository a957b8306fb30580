"""The database machine falls over and comes back, or has no connection left: customers are told and lose nothing.

A cluster of the test's own, stopped in mode `immediate`: every process of it ends at once and the next start recovers
from its log (www.postgresql.org/docs/15/app-pg-ctl.html).
"""

import random
import time
from contextlib import ExitStack

import psycopg
import pytest
from django.db import connection

from tests.faults.cluster import cluster
from tests.faults.house import Crowd, House, house_of
from tests.faults.test_full_disk import ESCAPED, WORDS
from tests.faults.test_house_killed import assert_nothing_lost, figures, wait_for_more

pytestmark = [
    pytest.mark.faults,
    pytest.mark.long,
    pytest.mark.skipif(connection.vendor != "postgresql", reason="it is PostgreSQL that falls over"),
]


@pytest.fixture
def fallible(_shop, _post, post, tmp_path):
    """A shop on a cluster of its own."""
    with cluster() as own:
        own.copy(_shop)
        with house_of(tmp_path, address=own.address, post=_post) as house:
            yield own, house
    post.light = False


def test_immediate_restarts_under_customers_lose_nothing(fallible, post, size):
    own, house = fallible
    falls, dice, post.light = size(2, 50), random.Random(20261102), True
    crowd = Crowd(house, house.nurse.call("fill_drafts", tag="fell", count=falls * 60), pause=0.1)
    [words_token, _] = house.nurse.call("fill_drafts", tag="words", count=1)[0]
    house.open()
    crowd.begin()
    told = 0
    for _ in range(falls):
        wait_for_more(crowd, than=len(crowd.sent) + 1)
        time.sleep(dice.uniform(0, 0.5))
        own.fall()
        answer = house.type_words(words_token, WORDS, timeout=60)
        assert (answer.status, answer.headers["Retry-After"]) == (503, "10")
        told += ESCAPED in answer.text
        own.start()
    crowd.finish()
    assert told == falls, "what was typed is on the page"
    assert house.type_words(words_token, WORDS).status == 303, "it goes on by itself"
    wait_until_delivered(house)
    house.kill()
    seen = assert_nothing_lost(house, post, "fell", crowd)
    print(figures(crowd, restarts=falls, **seen))


def wait_until_delivered(house: House) -> None:
    """The house's own drainer must recover, without a start of the house: nearly all letters go by it.

    However many wait, a minute in which none goes is a fault.
    """
    left, until = -1, 0.0
    while left < 0 or left > 3:
        before, left = left, house.nurse.call("stands", books=False)["waiting"]
        if left < before or before < 0:
            until = time.monotonic() + 60
        assert time.monotonic() < until, f"{left} letters wait, and none goes"
        time.sleep(0.5)


def test_database_without_a_free_connection_is_told_and_recovers(fallible):
    own, house = fallible
    [token, _] = house.nurse.call("fill_drafts", tag="crowded", count=1)[0]
    own.fall()
    own.start(connections=5)
    # A shop that keeps no connection in hand meets the crowd at the door.
    house.open(
        first="import shop.setup.services as s; s.POOL = {'min_size': 0, 'max_size': 4, 'timeout': 2, 'max_idle': 0.2}"
    )
    with ExitStack() as crowd:
        hold_all(own, crowd)
        answer = house.type_words(token, WORDS, timeout=60)
        assert (answer.status, answer.headers["Retry-After"]) == (503, "10")
        assert ESCAPED in answer.text
    until = time.monotonic() + 30
    while house.type_words(token, WORDS).status != 303:
        assert time.monotonic() < until
        time.sleep(0.5)


def hold_all(own, crowd: ExitStack) -> None:
    """Take every connection there is, and each one that becomes free, until none comes any more."""
    last = time.monotonic()
    while time.monotonic() - last < 2:
        try:
            crowd.enter_context(psycopg.connect(own.address, connect_timeout=5))
        except psycopg.OperationalError:
            time.sleep(0.05)
        else:
            last = time.monotonic()
