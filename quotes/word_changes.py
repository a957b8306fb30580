"""Changes of the shop's lists: words come, go by another name, retire, and doubles are merged. No other row is written."""

import datetime as dt
from decimal import Decimal

from intake import history
from intake.history import in_turn
from intake.models import Person
from quotes.list_words import BOARD, LONGEST, ON_A_BOARD, REVISION, fold
from quotes.models import ListWord, Remedy
from quotes.refusals import Refused
from quotes.word_lists import learn, snapshot


@in_turn
def add(
    *,
    kind: str,
    name: str,
    board: str = "",
    nominal_volts: Decimal | None = None,
    by: Person,
    at: dt.datetime,
) -> ListWord:
    """A new word. Raises Refused for an empty name, one that stands there in any spelling, a revision without a board."""
    if not fold(name):
        raise Refused("Type the word first.", field="name")
    if kind == REVISION and not fold(board):
        raise Refused("Say which board it is a revision of.", field="board")
    if (known := _standing(kind, name, board)) is not None:
        raise Refused(f"That stands on the list already, as {known.name}.", field="name")
    row = learn(kind=kind, text=name, within=board, by=by, at=at)
    assert row is not None
    if nominal_volts is not None:
        row.nominal_volts = nominal_volts
        row.save(update_fields=["nominal_volts"])
    return _told("list word added", row, by, at)


@in_turn
def rename(*, word: ListWord, name: str, by: Person, at: dt.datetime) -> ListWord:
    """Let a word go by another name: its spelling changes, or the new name is a word that the old one is merged into.

    Returns the word that stays. Rows keep what was typed. Raises Refused for an empty name, or one that is a double.
    """
    if not fold(name):
        raise Refused("Type the new name first.", field="name")
    new = " ".join(name.split())[:LONGEST]
    if fold(new) == word.folded:
        old, word.name = word.name, new
        word.save(update_fields=["name"])
        return _told("list word renamed", word, by, at, before=old)
    board = word.within.name if word.within else ""
    if _standing(word.kind, new, board) is not None:
        raise Refused("There is such a word already. Merge the two instead.", field="name")
    stays = learn(kind=word.kind, text=new, within=board, by=by, at=at)
    assert stays is not None
    ListWord.objects.filter(pk=stays.pk).update(nominal_volts=word.nominal_volts)
    _merge(word, stays)
    return _told("list word renamed", stays, by, at, before=word.name)


@in_turn
def set_nominal(*, word: ListWord, volts: Decimal | None, by: Person, at: dt.datetime) -> ListWord:
    """What a rail carries when all is well, in volts; None: not known."""
    word.nominal_volts = volts
    word.save(update_fields=["nominal_volts"])
    return _told("list word volts", word, by, at, volts=str(volts or ""))


@in_turn
def retire(*, word: ListWord, retired: bool, by: Person, at: dt.datetime) -> ListWord:
    """No longer offered beside a field, or offered again. What is written stays."""
    word.retired = retired
    word.save(update_fields=["retired"])
    return _told("list word retired" if retired else "list word back", word, by, at)


@in_turn
def merge(*, word: ListWord, into: ListWord, by: Person, at: dt.datetime) -> ListWord:
    """Count a word under another one from now on, backwards too. Returns the one that stays.

    Raises Refused across lists or boards, for a word that is merged already, and for one into itself by any way round.
    """
    _merge(word, into)
    return _told("list words merged", into, by, at, double=word.name)


@in_turn
def take_merge_back(*, word: ListWord, by: Person, at: dt.datetime) -> ListWord:
    """A word that was merged counts by itself again. Raises Refused where it was not."""
    row = ListWord.objects.select_related("merged_into").get(pk=word.pk)
    if row.merged_into is None:
        raise Refused("That word counts by itself already.")
    stayed = row.merged_into.name
    row.merged_into = None
    row.save(update_fields=["merged_into"])
    return _told("list words parted", row, by, at, stayed=stayed)


def against_merging(word: ListWord, into: ListWord) -> str:
    """Why one word cannot be merged into another, as a sentence; "" where it can. One query."""
    return snapshot([word.kind]).against_merging(word.pk, into.pk)


def _merge(word: ListWord, into: ListWord) -> None:
    if against := against_merging(word, into):
        raise Refused(against)
    ListWord.objects.filter(pk=word.pk).update(merged_into=into)


def _standing(kind: str, name: str, board: str) -> ListWord | None:
    rows = ListWord.objects.filter(kind=kind, folded=fold(name))
    if kind in ON_A_BOARD:
        rows = rows.filter(within__folded=fold(board)) if board else rows.filter(within__isnull=True)
    return rows.first()


def _told(what: str, row: ListWord, by: Person, at: dt.datetime, **facts: object) -> ListWord:
    board = row.within.name if row.within and row.kind != BOARD else ""
    history.record(
        order=None,
        what=what,
        by=by.username,
        at=at,
        facts={"row": row.pk, "list": row.kind, "name": row.name, "board": board, **facts},
    )
    return row


@in_turn
def merge_remedy(*, remedy: Remedy, into: Remedy, by: Person, at: dt.datetime) -> Remedy:
    """Offer a remedy no more and count it under another one. Quotes that hold it stay as they are.

    Raises Refused for one that is merged already, and for one into itself by any way round.
    """
    row = Remedy.objects.get(pk=remedy.pk)
    if row.merged_into_id is not None:
        raise Refused("That remedy counts under another one already. Take that back first.")
    if stays_of(into).pk == row.pk:
        raise Refused("The two count as one already.")
    Remedy.objects.filter(pk=row.pk).update(merged_into=into, active=False)
    return _told_of_remedy("remedies merged", into, by, at, double=row.name)


@in_turn
def take_remedy_back(*, remedy: Remedy, by: Person, at: dt.datetime) -> Remedy:
    """A remedy that was merged counts by itself and is offered again. Raises Refused where it was not merged."""
    row = Remedy.objects.select_related("merged_into").get(pk=remedy.pk)
    if row.merged_into is None:
        raise Refused("That remedy counts by itself already.")
    stayed = row.merged_into.name
    row.merged_into, row.active = None, True
    row.save(update_fields=["merged_into", "active"])
    return _told_of_remedy("remedies parted", row, by, at, stayed=stayed)


def stays_of(remedy: Remedy) -> Remedy:
    """The remedy one counts under: merges followed to their end."""
    while remedy.merged_into is not None:
        remedy = remedy.merged_into
    return remedy


def _told_of_remedy(what: str, row: Remedy, by: Person, at: dt.datetime, **facts: object) -> Remedy:
    facts = {"row": row.pk, "name": row.name, **facts}
    history.record(order=None, what=what, by=by.username, at=at, facts=facts)
    return row
