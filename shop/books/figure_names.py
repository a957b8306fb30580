"""What each list of orders behind a figure is called. Pure."""

from intake.stations import NAMES, Station

_NAMES = {
    "arrived": "Orders that arrived in the period",
    "here": "Still in the building",
    "left": "Left the building",
    "lost": "Orders that lost money",
    "failed": "Work nobody pays",
    "minutes": "Mended and gone, with quoted minutes",
    "disputed": "In dispute",
    "quote-accepted": "Quotes agreed",
    "quote-declined": "Quotes declined",
    "quote-lapsed": "Quotes lapsed",
    "quote-waiting": "Quotes waiting for an answer",
    "promise-kept": "First promise kept",
    "promise-missed": "First promise missed",
    "tried-fixed": "Tried and mended",
    "tried-no-fix": "Tried and not mended",
    "owed-due-later": "Owed, not due yet",
    "owed-1-30": "Owed, 1 to 30 days over",
    "owed-31-60": "Owed, 31 to 60 days over",
    "owed-over-60": "Owed, more than 60 days over",
    "owed-to-pay-back": "To pay back",
}


def name_of(figure: str) -> str:
    """The heading of a list; "" for a figure nobody knows."""
    known = _NAMES | {f"station-{int(station)}": f"Stood at {NAMES[station]}" for station in Station}
    return known.get(figure, "")
