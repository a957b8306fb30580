"""Reads from the rows and the disks how the house runs."""

import datetime as dt
import shutil
from pathlib import Path

from django.conf import settings
from django.core.files.storage import FileSystemStorage, storages
from django.db.models import Count, Max, Min, Q

from intake.drain import NOT_READY
from intake.models import Letter, LetterTry
from quotes.cards import waiting as cards
from shop import clock
from shop.backup import state as backups
from shop.daysheet.rows import day_sheet
from shop.models import ClockMark
from shop.running.judging import AMBER, RED, Facts, Room, Work

_STATES = Letter.State


def at_a_glance(at: dt.datetime) -> Facts:
    """What every page of the owner may ask: letters, clock, backups, room. At most five queries, however much there is."""
    letters = Letter.objects.exclude(state=_STATES.SENT).aggregate(
        stuck=Count("pk", filter=Q(state__in=[_STATES.HELD, _STATES.DEAD])),
        waiting=Count("pk", filter=Q(state__in=[_STATES.PENDING, _STATES.CLAIMED])),
        not_ready=Count("pk", filter=Q(state=_STATES.PENDING, last_error__startswith=NOT_READY)),
        since=Min("created_at", filter=Q(state__in=[_STATES.PENDING, _STATES.CLAIMED])),
    )
    kept = backups.state(at)
    # A demonstration is not worth keeping: no owner need hurry there.
    colour = AMBER if settings.DEMO and kept.colour == RED else kept.colour
    return Facts(
        at=at,
        stuck=letters["stuck"],
        waiting=letters["waiting"],
        waiting_since=letters["since"],
        not_ready=letters["not_ready"],
        works=works(),
        rooms=rooms(),
        backup=(colour, kept.sentences),
    )


def in_full(at: dt.datetime) -> Facts:
    """All that the owner's page says, with what takes longer to read."""
    glance = at_a_glance(at)
    sheet, _ = day_sheet(at=at)
    return Facts(
        **{
            **{name: getattr(glance, name) for name in glance.__dataclass_fields__},
            "mail_away_since": mail_away_since(),
            "late_promises": sum(placed.late for placed in sheet.hands),
            "card_reports": len(cards.waiting()),
        }
    )


def works() -> tuple[Work, ...]:
    """Each kind of clock work with its marks. One query."""
    marks = {mark.name: mark for mark in ClockMark.objects.all()}
    return tuple(_work(marks.get(name), name, every, long) for name, every, long in clock.kinds())


def _work(mark: ClockMark | None, name: str, every: dt.timedelta, long: bool) -> Work:
    if mark is None:
        return Work(name, every, long)
    return Work(name, every, long, mark.done_at, mark.fault_at, mark.fault)


def rooms() -> tuple[Room, ...]:
    """The disks of this machine that the shop writes to, each once."""
    found: dict[int, Room] = {}
    for words, place in _places():
        try:
            disk, usage = place.stat().st_dev, shutil.disk_usage(place)
        except OSError:
            continue
        before = found[disk].words + ", " if disk in found else ""
        found[disk] = Room(before + words, usage.free, usage.total)
    return tuple(found.values())


def _places() -> list[tuple[str, Path]]:
    places = [("the shop's data", Path(settings.DATA))]
    if isinstance(storages["default"], FileSystemStorage):
        places.append(("photos and papers", Path(settings.MEDIA_ROOT)))
    if settings.EMAIL_FILE_PATH:
        places.append(("letters in a folder", Path(settings.EMAIL_FILE_PATH)))
    return places


def mail_away_since() -> dt.datetime | None:
    """Since when no mail server was reached, where the newest tries say so; None when the last one was taken."""
    accepted = LetterTry.objects.filter(result=LetterTry.Result.ACCEPTED).aggregate(last=Max("ended_at"))[
        "last"
    ]
    failed = LetterTry.objects.filter(
        result__in=[LetterTry.Result.LATER, LetterTry.Result.UNSURE],
        letter__state__in=[_STATES.PENDING, _STATES.CLAIMED],
    )
    failed = failed.exclude(answer__startswith=NOT_READY)
    if accepted is not None:
        failed = failed.filter(started_at__gt=accepted)
    return failed.aggregate(first=Min("started_at"))["first"]


def next_letters(most: int = 10) -> list[Letter]:
    """The letters that go next, with their orders."""
    rows = Letter.objects.filter(state__in=[_STATES.PENDING, _STATES.CLAIMED]).select_related("order")
    return list(rows.defer("text", "html").order_by("next_at", "pk")[:most])
