"""What the pages of the shop's lists read: words with their uses, likely doubles, and what a merge would change."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Count

from quotes.list_words import BOARD, ON_A_BOARD, POINT, fold, likely_doubles
from quotes.models import ListWord, QuoteLine, Remedy
from quotes.word_changes import stays_of
from quotes.word_uses import Entry, entries, entry_of, totals

MOST_SHOWN, MOST_COMPARED, MOST_PROPOSED = 300, 400, 10
LEDES = {
    "family": "Make and model, as orders are grouped.",
    "board": "What is printed on a board. Points and revisions lie on one.",
    "revision": "Revisions of a board, each on its board.",
    "point": "Where a probe goes, each on its board; of a rail with what it carries.",
    "fault": "Kinds of fault, as findings name them.",
    "symptom": "What customers see, as they tick it.",
}


@dataclass(frozen=True)
class Row:
    """One word on the page: what it goes by, and its uses in words."""

    entry: Entry
    said: str
    volts: str = ""


@dataclass(frozen=True)
class Pair:
    """Two words that look like one; the less used one would go."""

    goes: ListWord
    stays: ListWord
    board: str


def said(uses: Mapping[str, int]) -> str:
    """'3 readings, 1 finding'; 'not used' where nothing uses it."""
    words = [f"{count} {_many(what, count)}" for what, count in uses.items() if count]
    return ", ".join(words) or "not used"


def volts(word: ListWord | None) -> str:
    """What a rail carries, without idle noughts; "" where that is not known."""
    known = word.nominal_volts if word else None
    return "" if known is None else f"{known.normalize():f}"


def _many(what: str, count: int) -> str:
    return what if count == 1 else f"{what[:-1]}ies" if what.endswith("y") else f"{what}s"


def index() -> dict[str, Any]:
    counts = totals()
    kinds = [(kind, label, LEDES[kind], counts[kind]) for kind, label in ListWord.Kind.choices]
    return {"kinds": kinds, "remedies": Remedy.objects.filter(merged_into__isnull=True, active=True).count()}


def list_page(kind: str, *, asked: str = "") -> dict[str, Any]:
    """Words of one kind whose name or board has what was asked for; likely doubles above them."""
    found = entries(kind)
    wanted = fold(asked)
    shown = [each for each in found if not wanted or wanted in fold(each.name) or wanted in fold(each.board)]
    return {
        "kind": kind,
        "title": ListWord.Kind(kind).label,
        "lede": LEDES[kind],
        "asked": asked,
        "rows": [Row(entry, said(entry.uses), volts(entry.word)) for entry in shown[:MOST_SHOWN]],
        "more": len(shown) - MOST_SHOWN,
        "pairs": pairs(found),
        "on_boards": kind in ON_A_BOARD,
        "boards": _names(BOARD) if kind in ON_A_BOARD else [],
    }


def pairs(found: list[Entry]) -> list[Pair]:
    """Likely doubles on one list and board, the likeliest first."""
    places: dict[str, dict[str, Entry]] = defaultdict(dict)
    for entry in found:
        if entry.word is not None and not entry.word.retired:
            places[entry.key[1]][entry.key[2]] = entry
    told = []
    for by_name in places.values():
        for one, other, ratio in likely_doubles(list(by_name)[:MOST_COMPARED], most=MOST_PROPOSED):
            two = sorted((by_name[one], by_name[other]), key=lambda entry: entry.uses.total())
            told.append((ratio, two))
    told.sort(key=lambda each: -each[0])
    return [
        Pair(goes.word, stays.word, stays.board)
        for _, (goes, stays) in told[:MOST_PROPOSED]
        if goes.word is not None and stays.word is not None
    ]


def word_page(word: ListWord) -> dict[str, Any]:
    """One word: its uses, what counts under it or what it counts under, and its neighbours."""
    entry = entry_of(word)
    return {
        "word": word,
        "entry": entry,
        "uses": said(entry.uses),
        "volts": volts(word),
        "title": ListWord.Kind(word.kind).label,
        "others": _others(word),
        "is_point": word.kind == POINT,
        "doubles": list(word.doubles.order_by("name")),
    }


def _others(word: ListWord) -> list[str]:
    rows = ListWord.objects.filter(kind=word.kind, merged_into__isnull=True).exclude(pk=word.pk)
    if word.kind in ON_A_BOARD:
        rows = rows.filter(within=word.within_id)
    return list(rows.values_list("name", flat=True)[:MOST_SHOWN])


def _names(kind: str) -> list[str]:
    rows = ListWord.objects.filter(kind=kind, merged_into__isnull=True, retired=False)
    return list(rows.values_list("name", flat=True)[:MOST_SHOWN])


def preview(word: ListWord, into: ListWord) -> dict[str, Any]:
    """What counts where now, and what will count under the one that stays."""
    goes, stays = entry_of(word), entry_of(into)
    return {
        "goes": said(goes.uses),
        "stays": said(stays.uses),
        "together": said(goes.uses + stays.uses),
        "boards": word.kind == BOARD,
    }


def remedies_page() -> dict[str, Any]:
    """Remedies with their uses, doubles under the one that stays. Two queries."""
    rows = list(Remedy.objects.all())
    standing = {row.pk: row for row in rows}
    doubles: dict[int, list[Remedy]] = defaultdict(list)
    used = QuoteLine.objects.exclude(remedy=None).order_by().values_list("remedy")
    lines: dict[int, int] = defaultdict(int, used.annotate(Count("pk")))
    for row in rows:
        if row.merged_into_id is not None:
            stays = _end(row, standing)
            doubles[stays].append(row)
            lines[stays] += row.lines
    told = [(row, lines[row.pk], doubles[row.pk]) for row in rows if row.merged_into_id is None]
    alike = likely_doubles([fold(row.name) for row in rows if row.merged_into_id is None and row.active])
    by_name = {fold(row.name): row for row in rows if row.merged_into_id is None}
    return {
        "rows": told,
        "pairs": [(by_name[one], by_name[other]) for one, other, _ in alike[:MOST_PROPOSED]],
    }


def _end(row: Remedy, standing: Mapping[int, Remedy]) -> int:
    while row.merged_into_id is not None:
        row = standing[row.merged_into_id]
    return row.pk


def remedy_preview(remedy: Remedy, into: Remedy) -> dict[str, Any]:
    stays = stays_of(into)
    lines = {row.pk: QuoteLine.objects.filter(remedy=row).count() for row in (remedy, stays)}
    return {
        "goes": lines[remedy.pk],
        "stays": lines[stays.pk],
        "together": lines[remedy.pk] + lines[stays.pk],
    }
