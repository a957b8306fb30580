"""The shop's own words: they grow by use, doubles are merged, and what was typed stays as it was typed."""

import datetime as dt
from collections.abc import Iterable

from django.db.models import Q

from intake.models import Order, Person
from quotes.list_words import (
    BOARD,
    FAMILY,
    FAULT,
    LONGEST,
    ON_A_BOARD,
    POINT,
    REVISION,
    SYMPTOM,
    Word,
    Words,
    fold,
)
from quotes.models import ListWord


def snapshot(kinds: Iterable[str] = ()) -> Words:
    """The lists of some kinds (all where none is named) at this moment. One query; compares any number of texts."""
    wanted = {*kinds, BOARD} if kinds else ()
    rows = ListWord.objects.filter(kind__in=wanted) if wanted else ListWord.objects.all()
    fields = ("pk", "kind", "folded", "within_id", "merged_into_id")
    return Words(Word(*row) for row in rows.order_by("pk").values_list(*fields))


def canonical(kind: str, text: str, within: str = "") -> str:
    """The folded word a text counts under. One query: for more than one text take `snapshot()` and ask that.

    `within` is the board, as typed, of a revision or a point. Merges are followed; a text no list knows gives itself
    folded.
    """
    return snapshot([kind]).canonical(kind, text, within)


def learn(*, kind: str, text: str, within: str = "", by: Person | None, at: dt.datetime) -> ListWord | None:
    """Put a word on its list unless it stands there in any spelling; None for an empty one. One query when known.

    `within` is the board of a revision or a point. Run inside the caller's transaction.
    """
    name, folded, place = " ".join(text.split())[:LONGEST], fold(text), fold(within)
    if not folded:
        return None
    on_board = kind in ON_A_BOARD and bool(place)
    known = ListWord.objects.filter(kind=kind, folded=folded).order_by("pk")
    if kind in ON_A_BOARD:
        known = known.filter(within__folded=place) if on_board else known.filter(within__isnull=True)
    if (row := known.first()) is not None:
        return row
    board = learn(kind=BOARD, text=within, by=by, at=at) if on_board else None
    return ListWord.objects.create(kind=kind, name=name, folded=folded, within=board, made_at=at, made_by=by)


def learn_reading(*, board: str, revision: str, point: str, by: Person, at: dt.datetime) -> None:
    """What one reading names. One query when all of it is known."""
    place = fold(board)
    asked = [(BOARD, board, fold(board)), (REVISION, revision, fold(revision)), (POINT, point, fold(point))]
    wanted = Q(kind=BOARD, folded=place)
    for kind in (REVISION, POINT):
        folded = next(each[2] for each in asked if each[0] == kind)
        on = Q(within__folded=place) if place else Q(within__isnull=True)
        wanted |= Q(kind=kind, folded=folded) & on
    known = set(ListWord.objects.filter(wanted).values_list("kind", "folded"))
    for kind, text, folded in asked:
        if folded and (kind, folded) not in known and (kind != REVISION or place):
            learn(kind=kind, text=text, within=board if kind in ON_A_BOARD else "", by=by, at=at)


def learn_finding(*, order: Order, fault_class: str, by: Person, at: dt.datetime) -> None:
    """What one finding names: the kind of fault, the family of the device, the symptoms. One query when all is known."""
    asked = {
        (FAULT, fold(fault_class)): fault_class,
        (FAMILY, fold(order.device.family)): order.device.family,
        **{(SYMPTOM, fold(symptom)): symptom for symptom in order.symptoms},
    }
    wanted = Q(pk__in=[])
    for kind, folded in asked:
        wanted |= Q(kind=kind, folded=folded)
    known = set(ListWord.objects.filter(wanted).values_list("kind", "folded"))
    for (kind, folded), text in asked.items():
        if (kind, folded) not in known:
            learn(kind=kind, text=text, by=by, at=at)
