"""What stays from one reading to the next, since a hand rarely changes it; and what the line offers to choose from."""

import datetime as dt
from collections.abc import Iterable
from typing import Any

from django.utils import timezone

from intake.models import Order, Person
from quotes.list_words import BOARD, POINT, fold
from quotes.models import ListWord, Meter, Reading

MOST = 200
SOURCES = ("schematic", "other channel of the same board", "guess")
_BOARD = ("board", "revision", "side")
_BENCH = ("state", "supply_volts", "supply_amps", "meter")


def circumstances(order: Order, person: Person | None, at: dt.datetime | None) -> dict[str, str]:
    """Board, revision, side, state, supply and meter of the last reading here.

    On an order without readings state, supply and meter are those of this person's last reading today, and the board is
    the last one named on a device of the same make and model, or the only one of the list that bears their name.
    """
    last = order.readings.last()
    if last is not None:
        return _of(last, (*_BOARD, *_BENCH))
    kept: dict[str, str] = {}
    if (alike := _alike(order).exclude(board="").last()) is not None:
        kept |= _of(alike, _BOARD)
    elif board := _only_board(order):
        kept["board"] = board
    if person is not None and at is not None:
        today = timezone.localtime(at).replace(hour=0, minute=0, second=0, microsecond=0)
        mine = Reading.objects.filter(by=person, at__gte=today).last()
        kept |= _of(mine, _BENCH) if mine is not None else {}
    return kept


def of_reading(reading: Reading) -> dict[str, str]:
    """The circumstances of one reading, as the form takes them."""
    return _of(reading, (*_BOARD, *_BENCH))


def _of(reading: Reading, names: Iterable[str]) -> dict[str, str]:
    return {name: text_of(getattr(reading, name)) for name in names}


def text_of(value: Any) -> str:
    """A text or a Decimal as a field of the form takes it."""
    return "" if value is None else value if isinstance(value, str) else f"{value.normalize():f}"


def offered(order: Order, board: str) -> dict[str, list[str]]:
    """Choices beside the fields of the line: points, boards, meters, sources; at most MOST of a kind."""
    alike = _alike(order)
    points = ListWord.objects.filter(
        kind=POINT, within__folded=fold(board), retired=False, merged_into__isnull=True
    )
    boards = ListWord.objects.filter(kind=BOARD, retired=False, merged_into__isnull=True)
    return {
        "points": _once(points.values_list("name", flat=True), alike.values_list("point", flat=True)),
        "boards": _once(alike.values_list("board", flat=True), boards.values_list("name", flat=True)),
        "meters": list(Meter.objects.filter(active=True).values_list("name", flat=True)[:MOST]),
        "sources": list(SOURCES),
    }


def _alike(order: Order) -> Any:
    device = order.device
    rows = Reading.objects.filter(order__device__make=device.make, order__device__model=device.model)
    return rows if device.make or device.model else rows.filter(order=order)


def _only_board(order: Order) -> str:
    """The one board of the list that is named after this make and model; "" where there is none, or a choice."""
    device = order.device
    wanted = f"{device.make} {device.model}".casefold().split()
    if not (device.make and device.model):
        return ""
    boards = ListWord.objects.filter(
        kind=BOARD, folded__startswith=fold(" ".join(wanted)), retired=False, merged_into__isnull=True
    )
    # Whole words: the board of a Z70 is none of a Z7.
    names = boards.values_list("name", flat=True)[:MOST]
    found = [name for name in names if name.casefold().split()[: len(wanted)] == wanted]
    return found[0] if len(found) == 1 else ""


def _once(*lists: Any) -> list[str]:
    found: dict[str, str] = {}
    for rows in lists:
        for name in rows.order_by("-pk").distinct()[: MOST * 4]:
            if name:
                found.setdefault(fold(name), name)
    return list(found.values())[:MOST]
