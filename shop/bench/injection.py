"""May this voltage go onto this rail? Pure. Looking for a short with a supply, never above what the rail carries when all is well.

The rule 'never above the nominal' is from public electronics questions and answers (secondary); the start values are common
practice, no source.
"""

from dataclasses import dataclass
from decimal import Decimal

START_VOLTS = Decimal(1)
START_AMPS = Decimal("0.5")
HIGH_AMPS = Decimal(3)
CARE = (
    "Take the battery out. Hot parts burn: watch with a camera or alcohol, not with a finger. "
    "Feed the rail behind parts you do not want to feed. Alcohol and freeze spray burn: let them dry before hot air."
)


@dataclass(frozen=True)
class Guarded:
    """allowed: whether it may be done; `sentence` says why or why not; `advice` how to begin, '' where it may not be done."""

    allowed: bool
    sentence: str
    advice: str = ""


def guard(*, rail: str, nominal: Decimal | None, volts: Decimal, amps: Decimal | None = None) -> Guarded:
    """Judge a supply's volts, and its limit in amperes where one is set, against the nominal volts of a rail."""
    name = rail.strip() or "this rail"
    if nominal is None or nominal <= 0:
        return Guarded(
            False,
            f"Nobody has said what {name} carries when all is well. Find that out before any voltage goes onto it.",
        )
    if volts < 0:
        return Guarded(False, "The supply reads below nought: the leads are the wrong way round.")
    if volts > nominal:
        return Guarded(
            False,
            f"{_v(volts)} is above the {_v(nominal)} of {name}. Never feed a rail above its own voltage.",
        )
    sentence = f"{_v(volts)} is not above the {_v(nominal)} of {name}."
    if amps is None:
        return Guarded(False, f"{sentence} But set a current limit before the leads touch.")
    return Guarded(True, sentence, _advice(nominal, volts, amps))


def _advice(nominal: Decimal, volts: Decimal, amps: Decimal) -> str:
    start = min(START_VOLTS, nominal / 2)
    said = []
    if volts > start or amps > START_AMPS:
        said.append(
            f"Begin at {_v(start)} with a limit of {_plain(START_AMPS)} A, and raise the limit before the volts."
        )
    else:
        said.append("That is a gentle start. Raise the limit before the volts.")
    if amps > HIGH_AMPS:
        said.append(f"{_plain(amps)} A can lift a pad or burn a trace in a second.")
    return " ".join(said)


def _v(value: Decimal) -> str:
    return f"{_plain(value)} V"


def _plain(value: Decimal) -> str:
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
