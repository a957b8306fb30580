"""How the board stood while it was measured: what the bench supply gave, and that no point is fed above what it carries."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from intake.refusals import Refused
from quotes import bench_states, word_lists
from quotes.list_words import BOARD, POINT
from quotes.models import ListWord
from quotes.reading_text import ReadingError, ReadingLine, parse_reading
from shop.bench.injection import guard

UNPOWERED = "unpowered, battery out"
ON_SUPPLY = "on supply"
BOOTED = "booted"
INJECTING = "volts injected here"
STATES = [
    ("", "Not said"),
    (UNPOWERED, "Unpowered, battery out"),
    (ON_SUPPLY, "On the bench supply, instead of the battery"),
    (BOOTED, "Booted"),
    (INJECTING, "Volts put on this very point"),
]
_MOST = {"v": Decimal(1000), "a": Decimal(100)}


@dataclass(frozen=True)
class Supply:
    """Volts given and the limit set in amperes, None where nothing was said; `words` for the sentence."""

    volts: Decimal | None = None
    amps: Decimal | None = None
    words: str = ""


def supply_of(given: Mapping[str, Any], *, point: str, board: str) -> Supply:
    """What was said of the supply. Raises Refused for no number, and where `point` would get more than it carries.

    The figures count only in a state that has a supply: they stay typed when the board is switched off.
    """
    state = given.get("state", "")
    if bench_states.class_of(state, "") in ("", bench_states.UNPOWERED):
        return Supply()
    volts = _figure(given.get("supply_volts", ""), "v", "supply_volts")
    amps = _figure(given.get("supply_amps", ""), "a", "supply_amps")
    advice = ""
    if state == INJECTING:
        advice = _guarded(given, point=point, board=board, volts=volts, amps=amps)
    said = bench_states.State(f"{state[:1].upper()}{state[1:]}", volts, amps).said()
    return Supply(volts, amps, f"{said}.{advice}")


_OF_CLASS = {bench_states.UNPOWERED: UNPOWERED, bench_states.SUPPLY: ON_SUPPLY, bench_states.BOOTED: BOOTED}


def stands_as(given: Mapping[str, Any], read: ReadingLine) -> dict[str, Any]:
    """`given` with what the line itself says of the supply, which goes before what stayed from the last one.

    Volts put on a point stay that, whatever a line calls them: the guard holds for the line's volts too. Raises Refused
    where the way of measuring forbids a supply.
    """
    stands, stayed = dict(given), given.get("state", "")
    if read.state:
        state = _OF_CLASS.get(bench_states.class_of(read.state, read.mode), read.state)
        stands["state"] = INJECTING if stayed == INJECTING and state == ON_SUPPLY else state
    if read.supply_volts is not None:
        stands["supply_volts"] = f"{read.supply_volts:f}"
        stands["supply_amps"] = "" if read.supply_amps is None else f"{read.supply_amps:f}"
    off = bench_states.class_of(stands.get("state", ""), read.mode) == bench_states.UNPOWERED
    if read.mode in bench_states.ALWAYS_UNPOWERED and not off:
        raise Refused(
            f"{read.mode.capitalize()} is measured without a supply. Change the way or the state of the board.",
            field="state",
        )
    return stands


def _guarded(
    given: Mapping[str, Any], *, point: str, board: str, volts: Decimal | None, amps: Decimal | None
) -> str:
    """How to begin, in words. Raises Refused where the supply may not go onto this point."""
    if volts is None:
        raise Refused("Say how many volts are put on this point.", field="supply_volts")
    nominal = _figure(given.get("nominal", ""), "v", "nominal")
    if nominal is None:
        nominal = nominal_of(point, board)
    word = guard(rail=point[:40], nominal=nominal, volts=volts, amps=amps)
    if word.allowed:
        return f" {word.advice}".rstrip()
    field = (
        "nominal" if not nominal else "supply_amps" if amps is None and volts <= nominal else "supply_volts"
    )
    raise Refused(word.sentence, field=field)


def nominal_of(point: str, board: str) -> Decimal | None:
    """What the shop's list says the point carries, in volts; None where it does not say. Two queries.

    A point of another board is another point. Where no board is named and several have such a point, the lowest counts.
    """
    words = word_lists.snapshot([BOARD, POINT])
    wanted, here = words.canonical(POINT, point, board), words.canonical(BOARD, board)
    rows = ListWord.objects.filter(kind=POINT, nominal_volts__isnull=False).select_related("within")
    carried = []
    for row in rows:
        on = row.within.name if row.within else ""
        elsewhere = on and here and words.canonical(BOARD, on) != here
        if not elsewhere and words.canonical(POINT, row.name, on) == wanted:
            carried.append(row.nominal_volts)
    return min(carried, default=None)


def _figure(text: str, way: str, field: str) -> Decimal | None:
    """Volts or amperes at any spelling of the bench: 4.2, 4,2, 500m."""
    if not text.strip():
        return None
    try:
        read = parse_reading(f"supply {way} {text}")
    except ReadingError as fault:
        raise Refused(f"{text[:20]} is not a number of {_UNIT[way]}.", field=field) from fault
    value = read.value
    if value is None or read.point != "supply" or not 0 <= value <= _MOST[way]:
        raise Refused(f"{text[:20]} cannot be right for a bench supply.", field=field)
    return value.quantize(Decimal("0.001")).normalize() + 0


_UNIT = {"v": "volts", "a": "amperes"}
