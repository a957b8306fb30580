"""What the first floor refuses, each with what the page needs to answer gently."""

from typing import TYPE_CHECKING

from intake.refusals import Refused

if TYPE_CHECKING:
    from quotes.models import Decision, Quote

__all__ = ["AlreadyDecided", "BeingRewritten", "Lapsed", "NotEnough", "Refused", "Superseded"]


class NotEnough(Refused):
    """The bin holds fewer free pieces than asked for."""

    def __init__(self, number: str, name: str, *, wanted: int, free: int) -> None:
        super().__init__(f"{number} {name}: {wanted} wanted, {free} free in the bin.", field="quantity")
        self.wanted, self.free = wanted, free


class AlreadyDecided(Refused):
    """Somebody answered this quote before; nothing has changed."""

    def __init__(self, decision: "Decision") -> None:
        super().__init__("This quote has been answered already. Nothing has changed by this click.")
        self.decision = decision


class Superseded(Refused):
    """There is a newer revision."""

    def __init__(self, newer: "Quote | None") -> None:
        super().__init__("There is a newer quote. Please read it before you answer.")
        self.newer = newer


class BeingRewritten(Refused):
    """The shop is writing a new revision just now."""

    def __init__(self) -> None:
        super().__init__("We are writing you a new quote just now. You will get it by letter.")


class Lapsed(Refused):
    """The quote's time is over."""

    def __init__(self, quote: "Quote") -> None:
        super().__init__("This quote has lapsed. Ask us and we will send you a fresh one.")
        self.quote = quote
