"""From what was billed to what is left: the steps of one order and of many, on whole smallest units. Pure.

Cash margin = billed without tax - parts - spoiled parts - post - payment fees - losses. Full margin = cash margin - bench
minutes at what one costs the shop. Every minute counts, paid for or not; whose work it was splits the last step.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from shop.books.lines import Line

Work = Literal["paid", "warranty", "unpaid"]
# Causes of a comeback that the shop answers for.
OURS = frozenset({"same", "work", "lot"})
WITHOUT_A_YES = frozenset({"lapsed", "waiting", "declined"})


@dataclass(frozen=True)
class Step:
    """One step down or up; a sum is what is left so far, and no step."""

    key: str
    name: str
    amount: int
    is_sum: bool = False


@dataclass(frozen=True)
class Steps:
    """The sums of `n` lines; money in smallest units, minutes whole. `paid`, `warranty`, `unpaid` split the bench's cost."""

    n: int = 0
    billed: int = 0
    parts: int = 0
    spoiled: int = 0
    post: int = 0
    fees: int = 0
    losses: int = 0
    minutes: int = 0
    paid: int = 0
    warranty: int = 0
    unpaid: int = 0

    @property
    def cash(self) -> int:
        """What is left before minutes."""
        return self.billed - self.parts - self.spoiled - self.post - self.fees - self.losses

    @property
    def bench(self) -> int:
        """What the minutes cost."""
        return self.paid + self.warranty + self.unpaid

    @property
    def full(self) -> int:
        """What is left."""
        return self.cash - self.bench

    def falls(self) -> tuple[Step, ...]:
        """From top to bottom. The steps that are no sums add up to the full margin."""
        return (
            Step("billed", "Billed, without tax", self.billed),
            Step("parts", "Parts at cost", -self.parts),
            Step("spoiled", "Spoiled parts", -self.spoiled),
            Step("post", "Post", -self.post),
            Step("fees", "Payment fees", -self.fees),
            Step("losses", "Losses", -self.losses),
            Step("cash", "Cash margin", self.cash, is_sum=True),
            Step("paid", "Bench, work that is paid", -self.paid),
            Step("warranty", "Bench, under warranty", -self.warranty),
            Step("unpaid", "Bench, looking nobody pays", -self.unpaid),
            Step("full", "Full margin", self.full, is_sum=True),
        )


def work_of(line: Line) -> Work:
    """Whose minutes they are: paid for (or to be), under warranty, or paid by nobody.

    Nobody pays for what was not mended and has left, or is here without a yes: declined, lapsed, or waiting for its
    answer. A comeback that is not ours is paid work; one whose cause is not known yet stands there too.
    """
    if line.comeback_of:
        return "warranty" if line.cause in OURS else "paid"
    if line.mended:
        return "paid"
    return "unpaid" if line.left or line.answer in WITHOUT_A_YES else "paid"


def added(lines: Iterable[Line]) -> Steps:
    """All lines as one: each step is the sum of theirs, already whole, so that it is what the rows show."""
    rows = list(lines)
    bench = {"paid": 0, "warranty": 0, "unpaid": 0}
    for line in rows:
        bench[work_of(line)] += line.bench
    return Steps(
        n=len(rows),
        billed=sum(line.billed for line in rows),
        parts=sum(line.parts for line in rows),
        spoiled=sum(line.spoiled for line in rows),
        post=sum(line.post for line in rows),
        fees=sum(line.fees for line in rows),
        losses=sum(line.losses for line in rows),
        minutes=sum(line.minutes for line in rows),
        **bench,
    )
