"""What is different between two revisions of a document, line by line, so that the changes add up to the totals' own."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from quotes.price_shapes import Line, Priced

Kind = Literal["added", "gone", "changed", "same"]


@dataclass(frozen=True)
class Entry:
    """One amount that is part of a total: an allowance is below nought. `detail` is the quantity and price in words.

    `key` finds the same thing again in the other document; `group` keeps lines, reductions, additions and taxes apart.
    """

    group: str
    key: str
    text: str
    amount: Decimal
    detail: str = ""


@dataclass(frozen=True)
class Difference:
    """One entry then and now. `before` and `after` are None where it was not there; `change` = after - before always.

    `was` and `now` say text and detail where those changed, and are empty where only the amount did.
    """

    kind: Kind
    text: str
    before: Decimal | None
    after: Decimal | None
    change: Decimal
    was: str = ""
    now: str = ""


def entries(priced: Priced, *, inclusive: bool = False) -> list[Entry]:
    """Everything the total is the sum of; with `inclusive` each amount holds its tax and no tax stands apart."""
    found = [
        Entry(
            "line",
            line.ref or f"{line.kind} {line.text.casefold()}",
            line.text,
            line.gross if inclusive else line.net,
            _detail(line),
        )
        for line in priced.lines
    ]
    # Taken from nought, so that a reduction of nothing is no '-0.00'.
    found += [
        Entry("reduction", item.text.casefold(), item.text, 0 - (item.gross if inclusive else item.net))
        for item in priced.allowances
    ]
    found += [
        Entry("addition", item.text.casefold(), item.text, item.gross if inclusive else item.net)
        for item in priced.charges
    ]
    if not inclusive:
        found += [
            Entry(
                "tax",
                f"{tax.category} {tax.rate.normalize():f}",
                f"{tax.name} {tax.rate.normalize():f} %",
                tax.tax,
            )
            for tax in priced.tax_groups
            if tax.rate or tax.tax
        ]
    return found


def differences(
    old: Priced | Sequence[Entry], new: Priced | Sequence[Entry], *, inclusive: bool = False
) -> list[Difference]:
    """Every entry of both documents, in the new one's order, then what is gone; the changes add up to the difference
    of the totals. Entries are paired where key and amount are the same, then by key, then by text."""
    before = entries(old, inclusive=inclusive) if isinstance(old, Priced) else list(old)
    after = entries(new, inclusive=inclusive) if isinstance(new, Priced) else list(new)
    partner = _pairs(before, after)
    found = [
        _one(before[partner[place]] if place in partner else None, entry) for place, entry in enumerate(after)
    ]
    kept = set(partner.values())
    return found + [
        Difference("gone", entry.text, entry.amount, None, -entry.amount)
        for place, entry in enumerate(before)
        if place not in kept
    ]


_SAMENESS: tuple[Callable[[Entry], object], ...] = (
    lambda entry: (entry.group, entry.key, entry.text, entry.detail, entry.amount),
    lambda entry: (entry.group, entry.key, entry.amount),
    lambda entry: (entry.group, entry.key),
    lambda entry: (entry.group, entry.text.casefold()),
)


def _pairs(before: Sequence[Entry], after: Sequence[Entry]) -> dict[int, int]:
    """Places in `after` with their places in `before`, the surest pairs first."""
    partner: dict[int, int] = {}
    free = dict(enumerate(before))
    for same in _SAMENESS:
        waiting: dict[object, list[int]] = {}
        for place, entry in free.items():
            waiting.setdefault(same(entry), []).append(place)
        for place, entry in enumerate(after):
            if place not in partner and (places := waiting.get(same(entry))):
                partner[place] = places.pop(0)
                del free[partner[place]]
    return partner


def _one(old: Entry | None, new: Entry) -> Difference:
    if old is None:
        return Difference("added", new.text, None, new.amount, new.amount)
    was, now = f"{old.text} {old.detail}".strip(), f"{new.text} {new.detail}".strip()
    if was == now:
        was = now = ""
    same = old.amount == new.amount and not was
    return Difference(
        "same" if same else "changed", new.text, old.amount, new.amount, new.amount - old.amount, was, now
    )


def _detail(line: Line) -> str:
    words = ""
    if line.quantity != 1 or line.per != 1:
        base = f" / {line.per.normalize():f}" if line.per != 1 else ""
        words = f"{line.quantity.normalize():f} x {line.unit_price.normalize():f}{base}"
    if line.allowance:
        words += f" less {line.allowance}"
    if line.charge:
        words += f" plus {line.charge}"
    return words.strip()
