"""What the card shows: a wire's figures as people read them, the table of bench wires, and the word on a supply."""

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from shop.bench import wire_maths
from shop.bench.injection import Guarded, guard
from shop.bench.wire_maths import Jumper
from shop.traveller.supply import nominal_of

AMBIENT = 25.0
_BENCH_WIRES = (0.02, 0.05, 0.08, 0.1, 0.15, 0.2)
_BENCH_GAUGES = (30, 36, 38, 40, 42)
_PREFIXES = ((1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "µ"), (1e-9, "n"))


@dataclass(frozen=True)
class Figure:
    """One line of the result: its name, the figure with its unit, and what is to be known about it."""

    name: str
    shown: str
    note: str = ""


@dataclass(frozen=True)
class WireRow:
    """One wire of the bench in the table."""

    name: str
    millimetres: str
    ohms: str
    melts: str


def wire_of(given: dict[str, Any]) -> Jumper | None:
    """The wire that was typed, None where there is none. Raises WireError."""
    if given.get("size") is None:
        return None
    ambient = AMBIENT if given["ambient"] is None else float(given["ambient"])
    return wire_maths.jumper(
        diameter=given["size"], length=given["length"], amps=float(given["amps"]), ambient=ambient
    )


def figures_of(wire: Jumper) -> list[Figure]:
    too_hot = f"more than {wire_maths.HIGHEST_RISE:.0f} K, no figure"
    rise = too_hot if wire.rise is None else f"{_three(wire.rise)} K"
    first = too_hot if wire.first_second is None else f"{_three(wire.first_second)} K"
    return [
        Figure("Resistance", _unit(wire.ohms, "Ω"), f"{_unit(wire.ohms_per_metre, 'Ω')} a metre, {_three(wire.diameter)} mm of copper"),
        Figure("Drop", _unit(wire.volts, "V")),
        Figure("Loss", _unit(wire.watts, "W")),
        Figure("Warmer in the middle, after a while", rise, wire_maths.SHORT_WIRE),
        Figure("Warmer after the first second, at most", first, wire_maths.FIRST_SECOND),
        Figure("A long one melts in the end at", _unit(wire.preece_amps, "A"), "Preece, from his rule of 1884."),
        Figure("A long one melts within a second at", _unit(wire.onderdonk_amps, "A"), f"Onderdonk. {wire_maths.MELTING}"),
    ]  # fmt: skip


def guarded(given: dict[str, Any]) -> Guarded | None:
    """The word on the supply that was typed, None where there is none. At most two queries, for a rail of the list."""
    if given.get("volts") is None:
        return None
    nominal: Decimal | None = given["nominal"]
    if nominal is None and given["rail"]:
        nominal = nominal_of(given["rail"], given["board"])
    return guard(rail=given["rail"], nominal=nominal, volts=given["volts"], amps=given["limit"])


def table() -> list[WireRow]:
    """The wires of a bench by thickness, at 20 C."""
    wires = [(f"{size:g} mm", size) for size in _BENCH_WIRES]
    wires += [(f"AWG {gauge}", wire_maths.awg_diameter(gauge)) for gauge in _BENCH_GAUGES]
    return [
        WireRow(
            name,
            _three(size),
            _unit(wire_maths.ohms_per_metre(size), "Ω"),
            _unit(wire_maths.preece_amps(size), "A"),
        )
        for name, size in sorted(wires, key=lambda wire: wire[1])
    ]


def _unit(value: float, unit: str) -> str:
    for factor, prefix in _PREFIXES:
        if abs(value) >= factor * 0.9995:
            return f"{_three(value / factor)} {prefix}{unit}"
    return f"0 {unit}" if value == 0 else f"less than 1 n{unit}"


def _three(value: float) -> str:
    """Three digits that count, no more: the models are no better."""
    if value == 0:
        return "0"
    places = max(0, 2 - math.floor(math.log10(abs(value))))
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
