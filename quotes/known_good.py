"""What a reading means beside the shop's own good boards: limits from three of them on, and from where they come."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from intake.models import Order
from quotes import word_lists
from quotes.bench_states import class_of
from quotes.good_samples import Sample, samples_of
from quotes.list_words import BOARD, POINT, REVISION, fold
from quotes.reading_words import amount
from quotes.spread import limits_of
from quotes.verdicts import UNKNOWN, propose_verdict

# Below three a middle has no spread worth the name. Common practice, no source.
FEWEST = 3


@dataclass(frozen=True)
class Judged:
    """What is expected and what the reading is beside it. Limits are inclusive, in the base unit, None where there are none.

    `n` is how many of the shop's own good boards stand behind it, each counted once; below three `word` is
    'no own reading yet' and `why` says what there is. `expected_special` is "OL" or "beep" where most of them show it.
    """

    low: Decimal | None
    high: Decimal | None
    expected_special: str
    expected_from: str
    n: int
    word: str
    why: str


@dataclass(frozen=True)
class Expected:
    """What good boards show at one point: numbers or a word of its own, never a mix of both."""

    n: int
    low: Decimal | None = None
    high: Decimal | None = None
    median: Decimal | None = None
    special: str = ""
    note: str = ""


def judge(
    *,
    board: str,
    revision: str,
    point: str,
    state: str,
    mode: str,
    polarity: str,
    meter: str,
    value: Decimal | None,
    special: str,
    at_order: Order | None = None,
) -> Judged:
    """Judge a reading beside the own good boards. Three queries, however many rows there are.

    Board, point, mode, polarity and class of state must agree; a revision must where both name one. Readings of another
    meter count only where the offsets of both are known in that mode. Raises ValueError unless exactly one of `value`
    and `special` is given.
    """
    if not fold(board):
        return _unknown(0, "No board is named, so no own good board can stand beside it.", value, special)
    words = word_lists.snapshot([BOARD, POINT, REVISION])
    found = samples_of(
        words=words, board=board, point=point, meter=meter, at_order=at_order, mode=mode, polarity=polarity
    )
    kept, left = comparable(
        found,
        state=class_of(state, mode),
        revision=words.canonical(REVISION, revision, board),
        meter=fold(meter),
    )
    expected = expected_of(kept, mode)
    note = " ".join(part for part in (expected.note, _other_meters(left)) if part)
    if not expected.special and expected.low is None:
        return _unknown(expected.n, note, value, special)
    source = f"own good boards, n={expected.n}"
    verdict = propose_verdict(
        value, special or None, expected.low, expected.high, mode=mode,
        expected_special=expected.special or None, expected_from=source,
    )  # fmt: skip
    why = f"{verdict.why} {note}".strip()[:200]
    return Judged(expected.low, expected.high, expected.special, source, expected.n, verdict.word, why)


def comparable(
    samples: Sequence[Sample], *, state: str, revision: str, meter: str
) -> tuple[list[Sample], list[Sample]]:
    """Those that may stand beside a reading, one a board (the newest), shifted to its meter; and the boards left out
    for their meter alone. `samples` come newest first; `state` is a class, `revision` and `meter` are folded."""
    kept: dict[str, Sample] = {}
    left: dict[str, Sample] = {}
    for sample in samples:
        if sample.state != state or (revision and sample.revision_key and sample.revision_key != revision):
            continue
        shift = Decimal(0) if sample.meter_key == meter else sample.shift
        if shift is None:
            left.setdefault(sample.specimen, sample)
        elif sample.specimen not in kept:
            kept[sample.specimen] = _shifted(sample, shift)
    return list(kept.values()), [sample for name, sample in left.items() if name not in kept]


def _shifted(sample: Sample, shift: Decimal) -> Sample:
    return sample if sample.value is None else replace(sample, value=sample.value + shift)


def expected_of(kept: Sequence[Sample], mode: str) -> Expected:
    """What these boards show, one reading each: a word of its own where more than half show it, limits from three numbers on.

    Numbers among a majority of OL make no limits, and OL among numbers widens none; `note` says that they were there.
    """
    steady = [sample for sample in kept if sample.special != "unstable"]
    numbers = [sample.value for sample in steady if sample.value is not None]
    n = len(steady)
    if n < FEWEST:
        return Expected(n, note=_too_few(steady))
    for special in ("OL", "beep"):
        shown = sum(sample.special == special for sample in steady)
        if shown * 2 > n:
            note = f"{shown} of {n} good boards show {special}." if shown < n else ""
            return Expected(n, special=special, note=note)
    if len(numbers) < FEWEST:
        return Expected(n, note=f"The good boards do not agree: {_shown(steady)}.")
    limits = limits_of(numbers, mode)
    others = n - len(numbers)
    note = f"{others} of {n} good boards show no number here." if others else ""
    return Expected(n, limits.low, limits.high, limits.median, note=note)


def _too_few(samples: Sequence[Sample]) -> str:
    if not samples:
        return "No own good board has this point measured this way."
    boards = "1 own good board" if len(samples) == 1 else f"{len(samples)} own good boards"
    return f"Only {boards} so far ({_shown(samples)}); limits begin at {FEWEST}."


def _shown(samples: Sequence[Sample]) -> str:
    return ", ".join(
        amount(sample.value, sample.special, sample.prefix, sample.unit) for sample in samples[:4]
    )


def _other_meters(left: Sequence[Sample]) -> str:
    if not left:
        return ""
    more = "1 more was" if len(left) == 1 else f"{len(left)} more were"
    return f"{more} taken with another meter whose offset is not known."


def _unknown(n: int, why: str, value: Decimal | None, special: str) -> Judged:
    """Unstable is a verdict of its own, whatever is known."""
    verdict = propose_verdict(value, special or None, None, None)
    if verdict.word != UNKNOWN:
        return Judged(None, None, "", "", n, verdict.word, verdict.why)
    return Judged(None, None, "", "", n, UNKNOWN, why[:200])
