"""Wake-ups and clock work for a shop on several machines. A lost message loses nothing: the rows hold the work."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")

from django.conf import settings  # noqa: E402 -- the settings module must be named first

from intake.waking import set_waker  # noqa: E402 -- as above

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
    broker_connection_timeout=2,
    broker_connection_retry_on_startup=True,
    broker_transport_options={
        "visibility_timeout": 900,
        "unacked_restore_interval": 10,
        "unacked_restore_throttle": 1,
        "socket_timeout": 5,
        "socket_connect_timeout": 2,
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
    },
)
app.autodiscover_tasks()


def ring() -> None:
    """A hint to the workers that a letter waits; one that is lost or late costs nothing, the beat looks too."""
    app.send_task("intake.tasks.deliver_letters", expires=60, retry=False, ignore_result=True)


if settings.REDIS_URL:
    app.set_default()
    set_waker(ring)
