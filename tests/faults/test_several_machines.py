"""A shop on several machines, rehearsed: two web servers, three workers and a beat over one PostgreSQL, Redis and bucket.

Each has a folder and a process group of its own. One of each kind is killed again and again while customers press
"Send the request" at whichever door answers, and press again.
"""

import base64
import copy
import itertools
import random
import secrets
import time

import pytest
from django.db import connection

from shop.backup import age_keys
from tests import buckets
from tests.faults.cluster import hints
from tests.faults.house import Crowd, free_port
from tests.faults.test_house_killed import assert_nothing_lost, figures, wait_for_more

pytestmark = [
    pytest.mark.faults,
    pytest.mark.long,
    pytest.mark.skipif(connection.vendor != "postgresql", reason="several machines share a PostgreSQL"),
]
CELERY = ("-m", "celery", "--app", "shop.celery")
WORKERS = ("worker1", "worker2", "worker3")
DOORS = ("web", "web2")


class Machines:
    """Starts each by its name, as the unit files do; to customers it is one house with two doors."""

    def __init__(self, house, shared):
        self.house, self.shared = house, shared
        self.ports = {name: free_port() for name in DOORS}
        self._next = itertools.cycle(DOORS)

    def start(self, name):
        folder = self.house.folder / name
        folder.mkdir(exist_ok=True)
        own = {"BENCHPOST_DATA": str(folder), "PORT": str(self.ports.get(name, 0) or "")}
        self.house.env = {**self.house.env, **self.shared, **own}
        if name in DOORS:
            self.house.start(name, "manage.py", "serve", "--port", str(self.ports[name]))
        elif name == "beat":
            self.house.start(
                name,
                *CELERY,
                "beat",
                "--schedule",
                str(folder / "beat"),
                "--pidfile",
                "",
                "--loglevel",
                "WARNING",
            )
        else:
            self.house.start(
                name,
                *CELERY,
                "worker",
                "--concurrency",
                "1",
                "--hostname",
                f"{name}@%h",
                "--loglevel",
                "WARNING",
            )

    def wait_until_open(self, name):
        door, until = self.door(name), time.monotonic() + 300
        while time.monotonic() < until:
            try:
                answer = door.ask("GET", "/ready/")
            except OSError:
                time.sleep(0.1)
            else:
                if answer.status == 200:
                    return
                time.sleep(0.5)
        raise AssertionError(f"{name} did not open:\n{self.house.said()[-3000:]}")

    def door(self, name):
        door = copy.copy(self.house)
        door.port = self.ports[name]
        return door

    def send_request(self, token):
        return self.door(next(self._next)).send_request(token)


@pytest.fixture
def machines(house, post, tmp_path):
    post.light = True
    with hints(tmp_path) as redis, buckets.bucket_server() as bucket:
        shared = {
            "REDIS_URL": redis.address,
            "MEDIA_STORE": f"s3://{buckets.BUCKET}/shop?endpoint={bucket}&region={buckets.REGION}",
            "MEDIA_STORE_KEY": buckets.KEYS["key"],
            "MEDIA_STORE_SECRET": buckets.KEYS["secret"],
            "SECRET_KEY": secrets.token_urlsafe(60),
            "BACKUP_RECIPIENTS": age_keys.public_of(age_keys.identities(age_keys.fresh_file())[0]),
            "CODE_KEYS": f"k1:{base64.b64encode(secrets.token_bytes(32)).decode()}",
        }
        yield Machines(house, shared), bucket
        house.close()


def test_one_of_each_kind_killed_loses_and_doubles_nothing(machines, house, post, size):
    several, bucket = machines
    kills, dice = size(1, 20), random.Random(20261107)
    for name in DOORS:
        several.start(name)
    for name in DOORS:
        several.wait_until_open(name)
    for name in (*WORKERS, "beat"):
        several.start(name)
    crowd = Crowd(several, house.nurse.call("fill_drafts", tag="several", count=kills * 40), pause=0.2)
    crowd.begin()
    for _ in range(kills):
        wait_for_more(crowd, than=len(crowd.sent) + 2)
        for name in (dice.choice(DOORS), dice.choice(WORKERS), "beat"):
            time.sleep(dice.uniform(0, 0.4))
            house.kill(name)
            several.start(name)
        for name in DOORS:
            several.wait_until_open(name)
    wait_for_more(crowd, than=len(crowd.sent) + 2)
    crowd.finish()
    left = wait_for_letters(house)
    house.close()
    seen = assert_nothing_lost(house, post, "several", crowd)
    assert_papers_in(bucket, house, count=seen["orders"] - left)
    assert seen["orders"] >= kills
    assert left <= kills, "a killed worker may leave the one letter it held; all others go by themselves"
    print(figures(crowd, kills=3 * kills, leases_left=left, **seen))


def wait_for_letters(house, standstill=20):
    """They go by themselves; those whose worker was killed may wait out a lease of three minutes, which is not waited for."""
    left, since = -1, time.monotonic()
    while time.monotonic() - since < standstill:
        before, left = left, house.nurse.call("stands")["waiting"]
        if left == 0:
            break
        if left != before:
            since = time.monotonic()
        time.sleep(0.5)
    return left


def assert_papers_in(bucket, house, *, count):
    """Each paper that was posted lies in the bucket, and none in the folder of a machine."""
    pages = (
        buckets.client(bucket)
        .get_paginator("list_objects_v2")
        .paginate(Bucket=buckets.BUCKET, Prefix="shop/papers/")
    )
    assert sum(len(page.get("Contents", [])) for page in pages) >= count
    assert not [path for name in (*DOORS, *WORKERS) for path in (house.folder / name).rglob("papers/*/*")]
