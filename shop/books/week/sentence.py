"""A week or a month in one sentence of plain words. Pure."""

from shop.books.week.shapes import Told

# What the greatest loss is called in a sentence, by the kind the margin gives it.
REASONS = {
    "parcel": "a parcel was lost",
    "dispute": "a payment was disputed",
    "damage": "a device was damaged here",
    "loss": "something was made good",
    "stock": "the stock count came up short",
    "warranty": "a repair came back under warranty",
    "no fix": "work on a device that was not mended is unpaid",
    "declined": "looking that was answered no is unpaid",
    "unanswered": "looking that was never answered is unpaid",
    "underpriced": "a price was too low for the work",
}


def sentence(told: Told) -> str:
    """'11 devices came, 9 left; 2 promises were missed; 3 quotes wait for an answer; the week cost more than it brought: a
    parcel was lost.'"""
    parts = [_moved(told), _promises(told), _waiting(told), _money(told)]
    return "; ".join(part for part in parts if part) + "."


def _moved(told: Told) -> str:
    if not told.came and not told.left:
        return "No device came and none left"
    came = _devices(told.came, "came")
    left = f"{told.left or 'none'} left"
    return f"{came}, {left}"


def _devices(count: int, verb: str) -> str:
    if not count:
        return f"No device {verb}"
    return f"{count} device {verb}" if count == 1 else f"{count} devices {verb}"


def _promises(told: Told) -> str:
    if not told.due:
        return "no promise was due"
    if not told.missed:
        return "the one promise was kept" if told.due == 1 else f"all {told.due} promises were kept"
    if told.due == 1:
        return "the one promise was missed"
    return f"{told.missed} of {told.due} promises {'was' if told.missed == 1 else 'were'} missed"


def _waiting(told: Told) -> str:
    if not told.waiting:
        return ""
    return f"{told.waiting} {'quote waits' if told.waiting == 1 else 'quotes wait'} for an answer"


def _money(told: Told) -> str:
    if not told.brought:
        return ""
    if told.sign < 0:
        reason = REASONS.get(told.loss, "")
        return f"the {told.stretch} cost more than it brought" + (f": {reason}" if reason else "")
    if not told.sign:
        return f"the {told.stretch} brought what it cost"
    return f"the {told.stretch} brought {told.brought} after every cost"
