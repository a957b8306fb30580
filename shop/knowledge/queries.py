"""What the page of good boards shows: for each point of a board what is expected, and on which boards that rests."""

from collections import defaultdict
from dataclasses import dataclass

from quotes import good_samples, word_lists
from quotes.good_samples import Sample
from quotes.known_good import FEWEST, Expected, expected_of
from quotes.list_words import BOARD, POINT, REVISION, fold
from quotes.models import GoodReading, Meter
from quotes.reading_words import amount, should_be

_STRUCK_SHOWN = 25


@dataclass(frozen=True)
class BoardValue:
    """One board's reading: its name, what it reads, the row to strike (0 for an order's), whether a newer one counts."""

    name: str
    shown: str
    good_id: int
    older: bool


@dataclass(frozen=True)
class PointRow:
    """One point measured one way: what good boards show there. `middle` and `limits` are '' below three boards."""

    point: str
    way: str
    under: str
    n: int
    middle: str
    limits: str
    note: str
    boards: list[BoardValue]


def points_of(board: str) -> list[PointRow]:
    """Every point of a board with good readings, by name and way. Three queries."""
    words = word_lists.snapshot([BOARD, POINT, REVISION])
    groups: dict[tuple[str, ...], list[Sample]] = defaultdict(list)
    for sample in good_samples.samples_of(words=words, board=board):
        way = (sample.point_key, sample.mode, sample.polarity, sample.state)
        groups[*way, sample.meter_key, sample.revision_key].append(sample)
    return [_row(groups[key]) for key in sorted(groups)]


def _row(samples: list[Sample]) -> PointRow:
    counted: dict[str, Sample] = {}
    for sample in samples:
        counted.setdefault(sample.specimen, sample)
    expected, first = expected_of(list(counted.values()), samples[0].mode), samples[0]
    boards = [
        BoardValue(
            sample.name,
            amount(sample.value, sample.special, sample.prefix, sample.unit),
            sample.good_id,
            counted[sample.specimen] is not sample,
        )
        for sample in samples
    ]
    way = ", ".join(part for part in (first.mode, first.polarity) if part)
    stood = (
        first.state,
        first.meter and f"meter {first.meter}",
        first.revision and f"revision {first.revision}",
    )
    under = ", ".join(part for part in stood if part)
    middle, limits = _expected_words(expected, first)
    # Of doubles, the word that stays.
    name = next((each.point for each in samples if fold(each.point) == each.point_key), first.point)
    return PointRow(name, way, under, expected.n, middle, limits, expected.note, boards)


def _expected_words(expected: Expected, like: Sample) -> tuple[str, str]:
    if expected.special:
        return expected.special, ""
    if expected.median is None:
        return "", ""
    limits = should_be(expected.low, expected.high, like.prefix, like.unit)
    return amount(expected.median, "", like.prefix, like.unit), limits


def struck_of(board: str) -> list[GoodReading]:
    """The newest struck readings of a board."""
    words = word_lists.snapshot([BOARD])
    wanted = words.canonical(BOARD, board)
    rows = GoodReading.objects.filter(struck_at__isnull=False).order_by("-struck_at")[:500]
    return [row for row in rows if words.canonical(BOARD, row.board) == wanted][:_STRUCK_SHOWN]


def offered() -> dict[str, list[str]]:
    """What the form offers while typing."""
    return {
        "specimens": list(
            GoodReading.objects.order_by("specimen").values_list("specimen", flat=True).distinct()[:200]
        ),
        "meters": list(Meter.objects.filter(active=True).values_list("name", flat=True)),
    }


__all__ = ["FEWEST", "BoardValue", "PointRow", "offered", "points_of", "struck_of"]
