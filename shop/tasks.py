"""What a Celery worker runs for the top floor: the clock."""

import datetime as dt

from celery import shared_task

from shop import clock


@shared_task(ignore_result=True)
def clock_tick(**_later: object) -> dict[str, int]:
    """One round of the clock."""
    return clock.tick(at=dt.datetime.now(dt.UTC))


@shared_task(ignore_result=True, soft_time_limit=3500, time_limit=3600)
def clock_long(**_later: object) -> dict[str, int]:
    """One look for work that may take minutes."""
    return clock.tick_long(at=dt.datetime.now(dt.UTC))
