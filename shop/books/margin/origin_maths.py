"""One order's steps with where each sum comes from: the sources add up to the step, the steps to what is left. Pure."""

from dataclasses import dataclass, field

from shop.books.lines import House, Line


@dataclass(frozen=True)
class Source:
    """One row behind a step: an invoice, a move, a parcel. `amount` in smallest units, a cost below nought; `href`: where
    it is written, or empty."""

    words: str
    amount: int
    href: str = ""


@dataclass(frozen=True)
class Origin:
    """One step with its sources; a sum is what is left so far and has none."""

    key: str
    name: str
    amount: int
    sources: tuple[Source, ...] = field(default=())
    is_sum: bool = False


@dataclass(frozen=True)
class Carried:
    """What an order carries besides its own line. `warranty`: its comebacks that the shop answers for, each with its full
    margin; `share`: its share of looking nobody paid for, smallest units, and `share_words` of what."""

    warranty: tuple[Source, ...] = ()
    share: int = 0
    share_words: str = ""


@dataclass(frozen=True)
class Ordered:
    """One order's line and its steps from top to bottom."""

    house: House
    line: Line
    steps: tuple[Origin, ...]

    @property
    def left(self) -> int:
        """The steps that are no sums, added up."""
        return sum(step.amount for step in self.steps if not step.is_sum)


def origins(line: Line, sources: dict[str, list[Source]], carried: Carried) -> list[Origin]:
    """From top to bottom. `sources` by field of the line; where their rounded amounts miss the step's, a row of its own
    says by how much, so that every sum is shown whole."""
    share = (Source(carried.share_words, -carried.share),) if carried.share else ()
    warranty = sum(source.amount for source in carried.warranty)
    return [
        _step("billed", "Billed, without tax", line.billed, sources),
        _step("parts", "Parts at cost", -line.parts, sources),
        _step("spoiled", "Spoiled parts", -line.spoiled, sources),
        _step("post", "Post", -line.post, sources),
        _step("fees", "Payment fees", -line.fees, sources),
        _step("losses", "Losses", -line.losses, sources),
        Origin("cash", "Cash margin", line.cash, is_sum=True),
        _step("bench", "Bench minutes", -line.bench, sources),
        Origin("full", "Full margin", line.full, is_sum=True),
        Origin("warranty", "Warranty work on it", warranty, carried.warranty),
        Origin("share", "Its share of unpaid looking", -carried.share, share),
        Origin("left", "What it leaves in the end", line.full + warranty - carried.share, is_sum=True),
    ]


def _step(key: str, name: str, amount: int, sources: dict[str, list[Source]]) -> Origin:
    rows = sources.get(key, [])
    missed = amount - sum(source.amount for source in rows)
    if missed:
        rows = [*rows, Source("Rounding", missed)]
    return Origin(key, name, amount, tuple(rows))
