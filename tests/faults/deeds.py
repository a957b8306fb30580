"""What the children of the nursery do. Each function runs in a process of its own and returns plain values."""

import datetime as dt
import os
import signal
from typing import Any
from unittest import mock

from django.core.management import call_command
from django.db import transaction

from intake import drain, letters
from intake.models import Letter, Letterhead, LetterTry
from shop.demo.base import set_up_shop
from tests import walk

AT = dt.datetime(2026, 2, 2, 9, 0, tzinfo=dt.UTC)


def prepare() -> None:
    """Tables, cache rows, the shop."""
    call_command("migrate", interactive=False, verbosity=0)
    call_command("createcachetable", verbosity=0)
    set_up_shop(at=AT)


# Letters and the drainer.


def write_letters(*, tag: str, count: int, unsure: str = "resend") -> None:
    """So many letters, each to an address of its own; what waited before is out of the way."""
    Letter.objects.filter(state__in=["pending", "claimed"]).update(state="dead", claim="", lease_until=None)
    _shop_wants(unsure)
    order = walk.request(at=AT, email="")
    for number in range(count):
        with transaction.atomic():
            letters.post(
                order=order,
                kind="withdrawn",
                key=f"{tag}:{number}",
                to=f"{tag}-{number}@example.com",
                context={},
                at=AT,
            )


def _shop_wants(unsure: str) -> None:
    head = Letterhead.current()
    if head.unsure_letters != unsure:
        head.pk, head.version, head.unsure_letters = None, head.version + 1, unsure
        head.save(force_insert=True)


def drain_at(*, minutes: int) -> int:
    """Drain all that is due so many minutes after the letters were written."""
    return drain.drain(at=AT + dt.timedelta(minutes=minutes), limit=10_000)


def _die(*_: Any, **__: Any) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def drain_and_die(*, minutes: int, point: str) -> None:
    """Drain with death waiting at a named point."""
    said = drain._speak_to_server
    places = {
        "before the try row": lambda: mock.patch.object(LetterTry.objects, "create", _die),
        "after the try row": lambda: mock.patch.object(drain, "_deliver", _die),
        "after the server's yes": lambda: mock.patch.object(
            drain, "_speak_to_server", lambda mail: (said(mail), _die())
        ),
        "before the result is committed": lambda: mock.patch.object(LetterTry.objects, "filter", _die),
    }
    with places[point]():
        drain_at(minutes=minutes)


def letters_now(*, tag: str) -> list[dict[str, Any]]:
    """Each letter with its tries."""
    return [
        {
            "key": letter.key,
            "to": letter.to,
            "state": letter.state,
            "message_id": letter.message_id,
            "tries": list(letter.attempts.values_list("number", "result", "why_again")),
        }
        for letter in Letter.objects.filter(key__startswith=f"{tag}:").prefetch_related("attempts")
    ]
