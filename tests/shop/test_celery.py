"""The bell of the larger set-up: a hint that never fails a page and never slows two in a row."""

import pytest

from shop import celery
from shop.settings import INSTALLED_APPS


@pytest.fixture
def sent(monkeypatch):
    posts = []
    monkeypatch.setattr(celery.app, "send_task", lambda name, **how: posts.append(name))
    return posts


def test_bell_sends_the_wake_up_and_nothing_of_the_letter(sent):
    celery.Bell().ring()
    assert sent == ["intake.tasks.deliver_letters"]


def test_bell_after_a_failed_ring_is_silent_for_a_while(monkeypatch):
    tries, now = [], [1000.0]

    def away(*_: object, **__: object) -> None:
        tries.append(now[0])
        raise ConnectionError("no broker")

    monkeypatch.setattr(celery.app, "send_task", away)
    monkeypatch.setattr(celery.time, "monotonic", lambda: now[0])
    bell = celery.Bell()
    with pytest.raises(ConnectionError):
        bell.ring()
    bell.ring()
    now[0] += celery.SILENCE_SECONDS
    with pytest.raises(ConnectionError):
        bell.ring()
    assert tries == [1000.0, 1000.0 + celery.SILENCE_SECONDS]


def test_beat_names_tasks_of_the_house_and_forgets_late_ones():
    celery.app.loader.import_default_modules()
    for entry in celery.app.conf.beat_schedule.values():
        assert entry["task"].split(".")[0] in INSTALLED_APPS
        assert entry["task"] in celery.app.tasks
        assert entry["options"]["expires"] <= entry["schedule"]


def test_lost_work_comes_back():
    """docs.celeryq.dev, userguide/configuration: acknowledged after the work, returned when the worker dies."""
    assert celery.app.conf.task_acks_late
    assert celery.app.conf.task_reject_on_worker_lost
    assert celery.app.conf.worker_prefetch_multiplier == 1
