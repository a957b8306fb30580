"""Wake-ups and clock work for a shop on several machines. A lost message loses nothing: the rows hold the work."""

import logging.config
import os
import time
from typing import Any

from celery import Celery
from celery.signals import beat_init, setup_logging, worker_init

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")

from django.conf import settings  # noqa: E402 -- the settings module must be named first

from intake.waking import set_waker  # noqa: E402 -- as above
from shop.setup.leaving import settings_or_leave  # noqa: E402 -- as above

settings_or_leave()

SILENCE_SECONDS = 30.0
app = Celery("benchpost")
app.conf.update(
    broker_url=settings.REDIS_URL or "memory://",
    result_backend=None,
    task_ignore_result=True,
    task_acks_late=True,
    task_reject_on_worker_lost=True,
    worker_prefetch_multiplier=1,
    worker_max_tasks_per_child=200,
    worker_hijack_root_logger=False,
    task_soft_time_limit=240,
    task_time_limit=300,
    worker_soft_shutdown_timeout=20,
    visibility_timeout=900,
    broker_connection_timeout=1,
    broker_connection_retry_on_startup=True,
    broker_transport_options={
        "visibility_timeout": 900,
        "unacked_restore_interval": 10,
        "unacked_restore_throttle": 1,
        "socket_timeout": 5,
        "socket_connect_timeout": 1,
    },
    task_publish_retry=False,
    timezone="UTC",
    enable_utc=True,
    beat_schedule={
        "deliver-letters": {
            "task": "intake.tasks.deliver_letters",
            "schedule": 15.0,
            "options": {"expires": 15},
        },
        "clock-work": {"task": "shop.tasks.clock_tick", "schedule": 60.0, "options": {"expires": 60}},
        "long-work": {"task": "shop.tasks.clock_long", "schedule": 60.0, "options": {"expires": 60}},
    },
)
app.autodiscover_tasks()


@setup_logging.connect
def _write_as_the_pages_do(**_: Any) -> None:
    """The workers' lines have the same form, and nothing else in them."""
    logging.config.dictConfig(settings.LOGGING)


@beat_init.connect
@worker_init.connect
def _refuse_another_version(**_: Any) -> None:
    """A worker of one version must not write into the database of another."""
    from shop.setup.database import Newer, Older, refuse_any_other  # noqa: PLC0415 -- once the apps are ready

    try:
        refuse_any_other()
    except (Newer, Older) as sentence:
        raise SystemExit(str(sentence)) from sentence


class Bell:
    """Tells the workers that a letter waits: a hint that may be lost or late, since the beat looks too.

    After a ring that failed it is silent for a while: a broker that is away must not slow each page down.
    """

    def __init__(self) -> None:
        self._silent_until = float("-inf")

    def ring(self) -> None:
        if time.monotonic() < self._silent_until:
            return
        try:
            app.send_task("intake.tasks.deliver_letters", expires=60, retry=False, ignore_result=True)
        except Exception:
            self._silent_until = time.monotonic() + SILENCE_SECONDS
            raise


if settings.REDIS_URL:
    app.set_default()
    set_waker(Bell().ring)
