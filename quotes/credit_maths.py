"""A credit note over a part of an invoice, so that all parts together are the whole, to the cent, net and tax.

Each amount is the share that has been credited by then less the share credited before, both rounded once: the last part
brings the exact remainder. Shares by quantity, tax by its group's base: own design, common practice, no source.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from intake.money import quantize

NOUGHT = Decimal(0)
TOO_MUCH = "That is more than was invoiced: a reduction is credited with the lines it lowers."


class CreditError(ValueError):
    """A part that cannot be credited; the message is a sentence."""


@dataclass(frozen=True)
class Invoiced:
    """A line as it was invoiced; amounts at the currency's digits, `category` and `percent` name its tax group."""

    number: int
    text: str
    quantity: Decimal
    unit_price: Decimal
    per: Decimal
    allowance: Decimal
    charge: Decimal
    net: Decimal
    category: str
    percent: Decimal


@dataclass(frozen=True)
class Group:
    """A tax group as it was invoiced, or the part of it that is credited."""

    category: str
    percent: Decimal
    base: Decimal
    tax: Decimal


@dataclass(frozen=True)
class CreditLine:
    """What is credited of the line `number`: amounts with the sign they had on the invoice."""

    number: int
    quantity: Decimal
    net: Decimal
    allowance: Decimal
    charge: Decimal


@dataclass(frozen=True)
class Part:
    """`last`: nothing of the invoice is left after it."""

    lines: tuple[CreditLine, ...]
    groups: tuple[Group, ...]
    last: bool

    @property
    def net(self) -> Decimal:
        return sum((line.net for line in self.lines), NOUGHT)

    @property
    def tax(self) -> Decimal:
        return sum((group.tax for group in self.groups), NOUGHT)


def part_of(
    lines: Sequence[Invoiced],
    groups: Sequence[Group],
    *,
    before: Mapping[int, Decimal],
    now: Mapping[int, Decimal],
    currency: str,
) -> Part:
    """What a credit note holds for the quantities `now` by line number, when those of `before` were credited already.

    Raises CreditError for a line that is not there, a quantity below nought or above what is left, nothing at all, and a
    part that takes more of a tax group, or of the whole, than it holds (a reduction goes back with what it lowered).
    """
    after = _after(lines, before, now)
    if all(after[line.number] == before.get(line.number, NOUGHT) for line in lines):
        raise CreditError("Say what is credited: at least one line.")
    made = tuple(
        _line(line, before.get(line.number, NOUGHT), after[line.number], currency)
        for line in lines
        if after[line.number] != before.get(line.number, NOUGHT)
    )
    shares = tuple(
        _group(group, [line for line in lines if _in(line, group)], before, after, currency)
        for group in groups
    )
    kept = tuple(group for group in shares if group.base or group.tax)
    part = Part(made, kept, last=all(after[line.number] == line.quantity for line in lines))
    if part.net + part.tax < 0:
        raise CreditError("A reduction is credited together with the lines it lowers.")
    _check_whole(lines, groups, after, currency)
    return part


def is_within(part: Decimal, whole: Decimal) -> bool:
    """Whether `part` lies between nought and `whole`, whichever side of nought that is."""
    return min(whole, NOUGHT) <= part <= max(whole, NOUGHT)


def _check_whole(
    lines: Sequence[Invoiced], groups: Sequence[Group], after: Mapping[int, Decimal], currency: str
) -> None:
    """A reduction in a tax group of its own lowers the whole, though no other group shows it."""
    gone = [_taken(group, [line for line in lines if _in(line, group)], after, currency) for group in groups]
    net, tax = sum((base for base, _ in gone), NOUGHT), sum((tax for _, tax in gone), NOUGHT)
    all_net, all_tax = sum((row.base for row in groups), NOUGHT), sum((row.tax for row in groups), NOUGHT)
    sums = ((net, all_net), (tax, all_tax), (net + tax, all_net + all_tax))
    if not all(is_within(part, whole) for part, whole in sums):
        raise CreditError(TOO_MUCH)


def _after(
    lines: Sequence[Invoiced], before: Mapping[int, Decimal], now: Mapping[int, Decimal]
) -> dict[int, Decimal]:
    known = {line.number: line for line in lines}
    for number, quantity in now.items():
        if number not in known:
            raise CreditError(f"There is no line {number} on this invoice.")
        left = known[number].quantity - before.get(number, NOUGHT)
        if not quantity.is_finite() or quantity < 0:
            raise CreditError(f"Line {number}: a quantity cannot be below nought.")
        if quantity > left:
            raise CreditError(
                f"Line {number}, {known[number].text}: only {_plain(left)} of {_plain(known[number].quantity)} "
                "can still be credited."
            )
    return {number: before.get(number, NOUGHT) + now.get(number, NOUGHT) for number in known}


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"


def _in(line: Invoiced, group: Group) -> bool:
    return (line.category, line.percent) == (group.category, group.percent)


def _share(amount: Decimal, part: Decimal, whole: Decimal, currency: str) -> Decimal:
    return amount if part == whole else quantize(amount * part / whole, currency)


def _line(line: Invoiced, before: Decimal, after: Decimal, currency: str) -> CreditLine:
    def between(amount: Decimal) -> Decimal:
        return _share(amount, after, line.quantity, currency) - _share(
            amount, before, line.quantity, currency
        )

    quantity, net = after - before, between(line.net)
    allowance, charge = between(line.allowance), between(line.charge)
    whole = quantize(line.quantity * line.unit_price / line.per, currency) - line.allowance + line.charge
    if whole == line.net:
        # Where quantity times price made the net, it does so on the credit note too: the odd cent is said.
        made = quantize(quantity * line.unit_price / line.per, currency) - allowance + charge
        odd = net - made
        allowance, charge = (allowance, charge + odd) if odd > 0 else (allowance - odd, charge)
    return CreditLine(line.number, quantity, net, allowance, charge)


def _group(
    group: Group,
    lines: Sequence[Invoiced],
    before: Mapping[int, Decimal],
    after: Mapping[int, Decimal],
    currency: str,
) -> Group:
    earlier = _taken(group, lines, {line.number: before.get(line.number, NOUGHT) for line in lines}, currency)
    by_now = _taken(group, lines, after, currency)
    if not is_within(by_now[0], group.base):
        raise CreditError(TOO_MUCH)
    return Group(group.category, group.percent, by_now[0] - earlier[0], by_now[1] - earlier[1])


def _taken(
    group: Group, lines: Sequence[Invoiced], quantities: Mapping[int, Decimal], currency: str
) -> tuple[Decimal, Decimal]:
    """Base and tax of a group when these quantities have been credited."""
    base = sum((_share(line.net, quantities[line.number], line.quantity, currency) for line in lines), NOUGHT)
    if all(quantities[line.number] == line.quantity for line in lines):
        return base, group.tax
    if not group.base:
        return base, quantize(base * group.percent / 100, currency)
    return base, quantize(group.tax * base / group.base, currency)
