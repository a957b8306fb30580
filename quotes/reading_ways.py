"""The way a reading was taken, as it stands in a typed line: mode and polarity. Pure. Spellings are common practice, no source."""

from dataclasses import dataclass

from quotes.reading_values import ReadingError

RED = "red on ground"
BLACK = "black on ground"

_MODES: dict[str, tuple[str, str]] = {
    **dict.fromkeys(("d", "diode"), ("diode", "")),
    "dr": ("diode", RED),
    "db": ("diode", BLACK),
    **dict.fromkeys(("r", "ohm", "ohms", "ω"), ("ohms", "")),
    **dict.fromkeys(("v", "volt", "volts"), ("volts", "")),
    **dict.fromkeys(("a", "amp", "amps"), ("amps", "")),
    **dict.fromkeys(("c", "cont", "continuity"), ("continuity", "")),
    **dict.fromkeys(("hz", "f", "hertz", "freq"), ("hertz", "")),
    **dict.fromkeys(("t", "temp", "celsius"), ("celsius", "")),
}
_POLARITIES = {
    ("rg",): RED,
    ("bg",): BLACK,
    ("red", "on", "ground"): RED,
    ("black", "on", "ground"): BLACK,
    ("red", "ground"): RED,
    ("black", "ground"): BLACK,
}
_LEADS = {"red": RED, "black": BLACK}


@dataclass(frozen=True)
class Way:
    """mode is '' where none was said; polarity is '' outside diode mode. A plain d means red on ground."""

    mode: str = ""
    polarity: str = ""


def way_before(words: list[str]) -> tuple[list[str], Way]:
    """Take the way from the end of the words; what is left is the point. Raises ReadingError where two contradict."""
    rest, mode, polarities = list(words), "", []
    while rest:
        phrase = _polarity_at_end(rest)
        if phrase:
            polarities.append(_POLARITIES[phrase])
            rest = rest[: -len(phrase)]
        elif not mode and rest[-1].lower() in _MODES:
            mode, own = _MODES[rest[-1].lower()]
            polarities += [own] if own else []
            rest = rest[:-1]
        elif not mode and len(rest) > 1 and rest[-1].lower() in _LEADS and _is_diode(rest[-2]):
            polarities.append(_LEADS[rest[-1].lower()])
            rest = rest[:-1]
        else:
            break
    return rest, _way(rest, mode, polarities)


def _is_diode(word: str) -> bool:
    return _MODES.get(word.lower(), ("", ""))[0] == "diode"


def _polarity_at_end(words: list[str]) -> tuple[str, ...] | None:
    low = tuple(word.lower() for word in words[-3:])
    return next((low[-size:] for size in (3, 2, 1) if low[-size:] in _POLARITIES), None)


def _way(rest: list[str], mode: str, polarities: list[str]) -> Way:
    if len(set(polarities)) > 1:
        raise ReadingError("Red and black on ground contradict each other. Say one of them.")
    if polarities and mode not in ("", "diode"):
        raise ReadingError(f"A polarity belongs to diode mode, not to {mode}.")
    if not polarities and mode != "diode":
        return Way(mode)
    if mode == "diode" and not polarities and rest and rest[-1].lower() in _LEADS:
        raise ReadingError(
            f"Is {rest[-1].lower()} the lead on ground, or part of the name? Write rg or bg for the lead."
        )
    return Way("diode", polarities[0] if polarities else RED)
