"""How often each word of the shop's lists is used; every row counts under exactly one word."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field

from django.db.models import Count

from intake.models import Device, Order
from quotes.list_words import (
    BOARD,
    FAMILY,
    FAULT,
    ON_A_BOARD,
    POINT,
    REVISION,
    SYMPTOM,
    Key,
    Word,
    Words,
    fold,
)
from quotes.models import Finding, GoodReading, ListWord, Reading, Remedy
from quotes.word_lists import snapshot

# Text, the board it lies on, what uses it, how many rows.
Told = tuple[str, str, str, int]
READINGS, GOOD, FINDINGS, REMEDIES, ORDERS = "reading", "own good board reading", "finding", "remedy", "order"


@dataclass
class Entry:
    """One thing of a list: the word it goes by, its doubles, and what uses any of them by kind of row.

    `word` is None where rows use a text that stands on no list; `name` and `board` are then as first typed.
    """

    key: Key
    name: str
    board: str = ""
    word: ListWord | None = None
    doubles: list[ListWord] = field(default_factory=list)
    uses: Counter[str] = field(default_factory=Counter)


def entries(kind: str) -> list[Entry]:
    """Every word of one kind with its uses, by board and name; merged ones under the one that stays. Five queries at most."""
    rows = list(ListWord.objects.filter(kind__in={kind, BOARD}).select_related("within").order_by("pk"))
    words = Words(Word(row.pk, row.kind, row.folded, row.within_id, row.merged_into_id) for row in rows)
    boards = {row.folded: row.name for row in rows if row.kind == BOARD}
    found: dict[Key, Entry] = {}
    for row in rows:
        if row.kind == kind:
            _put(found, words.key_of(words.by_pk[row.pk]), row)
    for text, within, what, count in told(kind):
        key = words.key(kind, text, within)
        if key not in found:
            found[key] = Entry(key, text, within)
        found[key].uses[what] += count
    for entry in found.values():
        entry.board = boards.get(entry.key[1], entry.board) if kind in ON_A_BOARD else ""
    return sorted(found.values(), key=lambda entry: (fold(entry.board), entry.name.casefold()))


def _put(found: dict[Key, Entry], key: Key, row: ListWord) -> None:
    entry = found.setdefault(key, Entry(key, row.name))
    # The one that stays; of the same word on two merged boards the first written.
    stays = row.merged_into_id is None and row.folded == key[2] and entry.word is None
    if stays:
        entry.word, entry.name = row, row.name
    elif row.merged_into_id is not None:
        entry.doubles.append(row)


def entry_of(row: ListWord) -> Entry:
    """What a word counts under. As many queries as `entries`."""
    words = snapshot([row.kind])
    key = words.key_of(words.by_pk[row.pk])
    return next(entry for entry in entries(row.kind) if entry.key == key)


def told(kind: str) -> Iterator[Told]:
    """Every text rows use for a kind of list, with how many rows use it. At most two queries."""
    return _TOLD[kind]()


def _on_boards(name: str) -> Iterator[Told]:
    for model, what in ((Reading, READINGS), (GoodReading, GOOD)):
        rows = model.objects.exclude(**{name: ""}).order_by().values_list("board", name)
        for board, text, count in rows.annotate(Count("pk")):
            yield text, "" if name == "board" else board, what, count


def _faults() -> Iterator[Told]:
    for model, what in ((Finding, FINDINGS), (Remedy, REMEDIES)):
        rows = model.objects.exclude(fault_class="").order_by().values_list("fault_class")
        for text, count in rows.annotate(Count("pk")):
            yield text, "", what, count


def _families() -> Iterator[Told]:
    rows = Order.objects.order_by().values_list("device__kind", "device__make", "device__model")
    for kind, make, model, count in rows.annotate(Count("pk")):
        yield Device(kind=kind, make=make, model=model).family, "", ORDERS, count


def _symptoms() -> Iterator[Told]:
    given: Counter[str] = Counter()
    for symptoms in Order.objects.exclude(symptoms=[]).values_list("symptoms", flat=True):
        given.update(list(dict.fromkeys(symptoms)))
    return ((text, "", ORDERS, count) for text, count in given.items())


_TOLD: dict[str, Callable[[], Iterator[Told]]] = {
    BOARD: lambda: _on_boards("board"),
    REVISION: lambda: _on_boards("revision"),
    POINT: lambda: _on_boards("point"),
    FAULT: _faults,
    FAMILY: _families,
    SYMPTOM: _symptoms,
}


def totals() -> dict[str, int]:
    """How many words each list holds that stay. One query."""
    rows = ListWord.objects.filter(merged_into__isnull=True, retired=False).order_by().values_list("kind")
    found: defaultdict[str, int] = defaultdict(int)
    found.update(rows.annotate(Count("pk")))
    return found


def by_name(kind: str, text: str, board: str = "") -> Entry | None:
    """The entry somebody means by a typed text, merges followed; None where no list has it and no row uses it."""
    words = snapshot([kind])
    key = words.key(kind, text, board)
    return next((entry for entry in entries(kind) if entry.key == key), None)


def sums(parts: Iterable[Entry]) -> Counter[str]:
    """What uses any of the entries, by kind of row."""
    return sum((entry.uses for entry in parts), Counter())
