"""What each choice of a quote comes to, by itself and with every set of its optional extras.

Each choice is a document of its own: its own smallest charge, its own tax. The smallest charge is reached by what is
always in the choice; extras come on top of it. Own rules, no source.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import combinations

from intake.money import quantize
from quotes.pricing import Choices, Line, LineInput, Policy, Priced, choices, price

MEND, DATA, CLEAN = "mend", "data", "clean"
WORK = (MEND, DATA, CLEAN)
EXTRAS = ("e1", "e2", "e3")
_COUNTED = frozenset({"labour", "part"})


@dataclass(frozen=True)
class Wanted:
    """A line of a draft: which choice it belongs to, which extra if any, its place in the draft (1 is the first).

    `percent`: its price is this share of the labour and parts that are always in its choice.
    """

    line: LineInput
    choice: str = MEND
    extra: str = ""
    number: int = 0
    percent: Decimal | None = None


@dataclass(frozen=True)
class OfferedLine:
    """A priced line of a choice; `number` is its place in the draft, 0 where the rates put it there."""

    line: Line
    extra: str
    number: int


@dataclass(frozen=True)
class Sums:
    """One choice. `priced` and `ends` are without extras; `totals` by the extras' keys, sorted and joined by a comma."""

    choice: str
    priced: Priced
    ends: Choices
    lines: tuple[OfferedLine, ...]
    totals: Mapping[str, Decimal]

    def more(self, extra: str) -> Decimal:
        """What an extra adds to the choice when it is the only one."""
        return self.totals[extra] - self.totals[""]


def key_of(extras: Iterable[str]) -> str:
    """The key of a set of extras in `Sums.totals`."""
    return ",".join(sorted(set(extras)))


def sums_of(
    wanted: Sequence[Wanted], policy: Policy, *, choice: str, waived_above: Decimal | None = None
) -> Sums:
    """Price a choice. A return post that no choice claims is in each; cleaning is owed whether it helps or not.

    `waived_above`: a total above it leaves the diagnosis free whatever the answer. Raises PricingError.
    """
    own = _shared_out(_own(wanted, choice), policy)
    always, more = [row for row in own if not row.extra], [row for row in own if row.extra]
    priced = _explained(price([row.line for row in always], policy), always)
    free = replace(policy, minimum_charge=Decimal(0))
    kept = [row.line for row in always] + [_as_set(line) for line in priced.lines[len(always) :]]
    totals = {"": priced.total}
    keys = sorted({row.extra for row in more})
    for size in range(1, len(keys) + 1):
        for some in combinations(keys, size):
            lines = kept + [row.line for row in more if row.extra in some]
            totals[key_of(some)] = price(lines, free).total
    waived = waived_above is not None and priced.total > waived_above
    ends = choices(priced, replace(policy, declined_fee=Decimal(0)) if waived else policy)
    return Sums(choice, priced, ends, _lines(priced, always, more, kept, free), totals)


def _own(wanted: Sequence[Wanted], choice: str) -> list[Wanted]:
    own = [row for row in wanted if row.choice == choice]
    if choice != MEND and not any(row.line.kind == "post" for row in own):
        own += [row for row in wanted if row.choice == MEND and row.line.kind == "post" and not row.extra]
    if choice == CLEAN:
        own = [replace(row, line=replace(row.line, still_charged=True)) for row in own]
    return own


def _shared_out(own: list[Wanted], policy: Policy) -> list[Wanted]:
    """Give each line that is a share its price."""
    if all(row.percent is None for row in own):
        return own
    counted = [row.line for row in own if row.percent is None and not row.extra and row.line.kind in _COUNTED]
    bare = price(counted, replace(policy, minimum_charge=Decimal(0)))
    base = sum((line.gross if policy.tax_inclusive else line.net for line in bare.lines), Decimal(0))
    return [row if row.percent is None else _a_share(row, row.percent, base, policy) for row in own]


def _a_share(row: Wanted, percent: Decimal, base: Decimal, policy: Policy) -> Wanted:
    amount = quantize(base * percent / 100, policy.currency)
    return replace(row, line=replace(row.line, quantity=Decimal(1), unit_price=amount))


def _as_set(line: Line) -> LineInput:
    return LineInput(line.kind, line.text, unit_price=line.unit_price, ref=line.ref)


def _explained(priced: Priced, rows: Sequence[Wanted]) -> Priced:
    told = [
        line if number >= len(rows) else _with_share(line, rows[number])
        for number, line in enumerate(priced.lines)
    ]
    return replace(priced, lines=tuple(told))


def _with_share(line: Line, row: Wanted) -> Line:
    if row.percent is None:
        return line
    said = f"{row.percent.normalize():f} % of labour and parts = {line.unit_price}."
    return replace(line, why=line.why.replace(f"Price as set: {line.unit_price}.", said, 1))


def _lines(
    priced: Priced, always: Sequence[Wanted], more: Sequence[Wanted], kept: Sequence[LineInput], free: Policy
) -> tuple[OfferedLine, ...]:
    numbers = [row.number for row in always] + [0] * (len(priced.lines) - len(always))
    lines = [OfferedLine(line, "", number) for line, number in zip(priced.lines, numbers, strict=True)]
    if more:
        whole = price([*kept, *(row.line for row in more)], free)
        lines += [
            OfferedLine(_with_share(line, row), row.extra, row.number)
            for line, row in zip(whole.lines[len(kept) :], more, strict=True)
        ]
    return tuple(lines)
