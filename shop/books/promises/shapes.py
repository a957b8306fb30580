"""What the page of promises and quotes needs beside the lines. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from shop.books.promises.promise_maths import EveryHour, Hours


@dataclass(frozen=True)
class Fitted:
    """One part that went into an order. `lot`: its number, or empty where none was noted; `stopped`: no more of it is fitted."""

    order: int
    part: str
    lot: str = ""
    stopped: bool = False


@dataclass(frozen=True)
class Extra:
    """`hours`: when hands are at the bench; `guessed`: nobody has said so yet. `ideas`: by order the customer's idea as its list
    spells it. `fitted`: parts in mended orders that left in the window. `reminders`: by order whose first quote was sent in the window, when it was
    reminded of it, seconds."""

    hours: Hours = field(default_factory=EveryHour)
    guessed: bool = False
    ideas: Mapping[int, str] = field(default_factory=dict)
    fitted: tuple[Fitted, ...] = ()
    reminders: Mapping[int, tuple[int, ...]] = field(default_factory=dict)
