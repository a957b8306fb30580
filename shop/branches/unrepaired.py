"""What is looked at before a device goes back that was not mended. Pure. Common practice, no source."""

from intake.stations import Outcome

OF_OUTCOMES = frozenset({Outcome.NO_FIX, Outcome.DECLINED, Outcome.DATA_ONLY, Outcome.OWN_DAMAGE})
CHECKS: dict[str, str] = {
    "closed": "Closed as it came",
    "parts": "The same parts are inside",
    "battery": "The battery is sound, or it is out and stays here",
    "record": "Readings and photos are on the sheet",
}


def checks_of(outcome: str) -> dict[str, str]:
    """The checks by name for an outcome; none for what was mended."""
    return CHECKS if outcome in OF_OUTCOMES else {}


def left_over(outcome: str, ticked: set[str]) -> list[str]:
    """The checks nobody has ticked, in words."""
    return [words for name, words in checks_of(outcome).items() if name not in ticked]
