"""Lists of orders that are no figure of a page by themselves, by the name in an address. Pure."""

from collections.abc import Callable, Iterable

from intake.stations import NAMES, Outcome, Station
from shop.books.lines import Books, Line

# Causes of a comeback that are the shop's own, and answers that are no yes.
OURS = frozenset({"same", "work", "lot"})
NO_YES = frozenset({"lapsed", "waiting", "declined"})
Pick = Callable[[Books], Iterable[Line]]
# An age of what is owed: name, words, days past the day it was due (from, to).
AGES = (
    ("owed-due-later", "Owed, not due yet", -(10**6), 0),
    ("owed-1-30", "Owed, 1 to 30 days over", 1, 30),
    ("owed-31-60", "Owed, 31 to 60 days over", 31, 60),
    ("owed-over-60", "Owed, more than 60 days over", 61, 10**6),
)
# Addresses of before still lead somewhere: their periods were counted in days.
FORMER_PERIODS = {"30": "month", "90": "quarter"}


def _stood(station: Station) -> Pick:
    return lambda books: (line for line in books.came() if getattr(line, f"at{int(station)}", -1) >= 0)


def _owed(since: int, until: int) -> Pick:
    return lambda books: (
        line
        for line in books.lines
        if line.balance > 0 and since <= (books.today - line.due if line.due else 0) <= until
    )


def _answered(answer: str) -> Pick:
    return lambda books: (line for line in books.quoted() if line.answer == answer)


def _tried(*, mended: bool) -> Pick:
    return lambda books: (
        line for line in books.came() if (line.mended if mended else line.outcome == Outcome.NO_FIX)
    )


def _failed(books: Books) -> Iterable[Line]:
    """What nobody pays: neither mended nor under warranty, and gone or without a yes."""
    for line in books.came():
        if not line.mended and line.cause not in OURS and (line.left or line.answer in NO_YES):
            yield line


def _with_minutes(books: Books) -> Iterable[Line]:
    return (line for line in books.gone() if line.mended and line.quoted_minutes)


def _promised(*, kept: bool) -> Pick:
    """A promise counts once its day is over or the device has left."""
    return lambda books: (
        line
        for line in books.came()
        if line.first_promise
        and (line.left or books.today > line.first_promise)
        and ((line.left_day or books.today) <= line.first_promise) == kept
    )


_LISTS: dict[str, tuple[str, Pick]] = {
    "arrived": ("Orders that arrived in the period", Books.came),
    "here": ("Still in the building", Books.here),
    "left": ("Left the building", Books.gone),
    "lost": ("Orders that lost money", lambda books: (line for line in books.gone() if line.full < 0)),
    "failed": ("Work nobody pays", _failed),
    "minutes": ("Mended and gone, with quoted minutes", _with_minutes),
    "promise-kept": ("First promise kept", _promised(kept=True)),
    "promise-missed": ("First promise missed", _promised(kept=False)),
    "tried-fixed": ("Tried and mended", _tried(mended=True)),
    "tried-no-fix": ("Tried and not mended", _tried(mended=False)),
    "disputed": ("In dispute", lambda books: (line for line in books.lines if line.disputed)),
    "quote-accepted": ("Quotes agreed", _answered("accepted")),
    "quote-declined": ("Quotes declined", _answered("declined")),
    "quote-lapsed": ("Quotes lapsed", _answered("lapsed")),
    "quote-waiting": ("Quotes waiting for an answer", _answered("waiting")),
    "owed-to-pay-back": ("To pay back", lambda books: (line for line in books.lines if line.balance < 0)),
    **{key: (words, _owed(since, until)) for key, words, since, until in AGES},
    **{f"station-{int(station)}": (f"Stood at {NAMES[station]}", _stood(station)) for station in Station},
}


def behind(key: str, books: Books) -> tuple[str, tuple[int, ...]] | None:
    """The heading and the orders' pks of a list; None for a name nobody knows."""
    if key not in _LISTS:
        return None
    words, pick = _LISTS[key]
    return words, tuple(line.order for line in pick(books))
