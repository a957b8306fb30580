"""What becomes dearer or cheaper if the rates, or a list of prices, were changed. Looking saves nothing.

A book is what every part, remedy, open draft and a usual quote come to at one moment; two books are held side by side.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from intake.stations import Station
from quotes import drafts
from quotes.choice_sums import MEND
from quotes.models import Part, QuoteDraft, Rates, Remedy, TradeTier
from quotes.policies import policy_of
from quotes.pricing import LineInput, Policy, PricingError, price
from quotes.refusals import Refused

SAMPLE_MINUTES, SAMPLE_COST = Decimal(60), Decimal("5.00")
MOST_ROWS, MOST_DRAFTS = 200, 5


@dataclass(frozen=True)
class Price:
    """What something sells for, and why; `amount` None: no rule makes a price, and `why` says so."""

    amount: Decimal | None
    why: str


@dataclass(frozen=True)
class Book:
    """Prices by (kind, primary key) with their names, totals of open drafts by order code, and a usual quote's total."""

    prices: dict[tuple[str, int], Price] = field(default_factory=dict)
    names: dict[tuple[str, int], str] = field(default_factory=dict)
    drafts: dict[str, Decimal | None] = field(default_factory=dict)
    sample: Decimal | None = None


@dataclass(frozen=True)
class Moved:
    """One thing whose price is another; None: no price."""

    name: str
    before: Decimal | None
    after: Decimal | None
    why: str = ""

    @property
    def change(self) -> Decimal:
        """What is added to the price; nought where there was or will be none."""
        return Decimal(0) if self.before is None or self.after is None else self.after - self.before


@dataclass(frozen=True)
class Preview:
    """`rows`: parts and remedies that move, the greatest change first, at most `MOST_ROWS` of `moving`."""

    rows: list[Moved]
    moving: int
    dearer: int
    cheaper: int
    same: int
    added: int
    drafts: list[Moved]
    drafts_moving: int
    sample: Moved


def price_of_part(part: Part, policy: Policy) -> Price:
    """What one piece sells for now: the list price or the markup on its cost, never below its smallest price."""
    return _price(
        LineInput(
            "part", part.name, unit_price=part.list_price, unit_cost=part.unit_cost, listed=True,
            minimum_price=part.minimum_price, tax_kind=part.tax_kind,
        ),
        policy,
    )  # fmt: skip


def price_of_remedy(remedy: Remedy, policy: Policy) -> Price:
    """What the remedy sells for now: its fixed price, or its standard minutes by the rate."""
    return _price(
        LineInput(
            "labour", remedy.name, unit_price=remedy.flat_price, minutes=remedy.minutes, listed=True,
            tax_kind=remedy.tax_kind,
        ),
        policy,
    )  # fmt: skip


def tier_sample(tier: TradeTier, policy: Policy) -> Decimal | None:
    """What a bench hour by the rate comes to in that tier."""
    line = LineInput("labour", "Labour", minutes=SAMPLE_MINUTES)
    return _price(line, replace(policy, labour_factor=tier.labour_factor)).amount


def book_of(rates: Rates, currency: str) -> Book:
    """All that is priced by `rates`, which need not be saved. A handful of queries, and some for each open draft."""
    policy = policy_of(rates, currency)
    book = Book(sample=_sample(policy), drafts=draft_totals(rates))
    for part in Part.objects.filter(active=True):
        _put(book, ("part", part.pk), part, policy)
    for remedy in Remedy.objects.filter(active=True):
        _put(book, ("remedy", remedy.pk), remedy, policy)
    return book


def book_with(
    book: Book,
    rows: Iterable[Part | Remedy],
    rates: Rates,
    currency: str,
    *,
    drafts: dict[str, Decimal | None],
) -> Book:
    """The book as it would be with these rows, which need not be saved, and these totals of the open drafts."""
    policy = policy_of(rates, currency)
    after = Book(dict(book.prices), dict(book.names), drafts, book.sample)
    for number, row in enumerate(rows, start=1):
        key = ("part" if isinstance(row, Part) else "remedy", -number if row.pk is None else row.pk)
        if row.active:
            _put(after, key, row, policy)
        else:
            after.prices.pop(key, None)
    return after


def open_drafts() -> list[QuoteDraft]:
    """The quotes that are being written now."""
    return list(
        QuoteDraft.objects.filter(order__station=Station.QUOTE).select_related(
            "order__customer", "order__return_address"
        )
    )


def draft_totals(rates: Rates) -> dict[str, Decimal | None]:
    """What each open draft comes to by `rates`, by the code of its order; None where it cannot be priced."""
    return {draft.order.code: _draft_total(draft, rates) for draft in open_drafts()}


def compared(before: Book, after: Book) -> Preview:
    """What moves from one book to the other."""
    keys = [key for key in after.prices if key in before.prices]
    moved = [
        Moved(after.names[key], before.prices[key].amount, after.prices[key].amount, after.prices[key].why)
        for key in keys
        if before.prices[key].amount != after.prices[key].amount
    ]
    moved_drafts = [
        Moved(code, total, after.drafts.get(code))
        for code, total in before.drafts.items()
        if total != after.drafts.get(code)
    ]
    return Preview(
        rows=_greatest_first(moved)[:MOST_ROWS],
        moving=len(moved),
        dearer=sum(row.change > 0 for row in moved),
        cheaper=sum(row.change < 0 for row in moved),
        same=len(keys) - len(moved),
        added=len(after.prices) - len(keys),
        drafts=_greatest_first(moved_drafts)[:MOST_DRAFTS],
        drafts_moving=len(moved_drafts),
        sample=Moved("", before.sample, after.sample),
    )


def if_rates(changes: dict[str, Any], *, now: Rates, then: Rates, currency: str) -> Preview | None:
    """What the changes would move; None where nothing would be different."""
    if all(getattr(now, name) == value for name, value in changes.items()):
        return None
    return compared(book_of(now, currency), book_of(then, currency))


def _greatest_first(rows: Iterable[Moved]) -> list[Moved]:
    return sorted(rows, key=lambda row: (row.after is not None, -abs(row.change), row.name))


def _price(line: LineInput, policy: Policy) -> Price:
    line = replace(line, listed=line.unit_price is not None)
    try:
        done = price([line], replace(policy, minimum_charge=Decimal(0))).lines[0]
    except PricingError as fault:
        return Price(None, str(fault))
    return Price(done.unit_price, done.why)


def _put(book: Book, key: tuple[str, int], row: Part | Remedy, policy: Policy) -> None:
    if isinstance(row, Part):
        book.prices[key], book.names[key] = price_of_part(row, policy), f"{row.number} {row.name}"
    else:
        book.prices[key], book.names[key] = price_of_remedy(row, policy), row.name


def _sample(policy: Policy) -> Decimal | None:
    lines = [
        LineInput("labour", "Labour", minutes=SAMPLE_MINUTES),
        LineInput("part", "Part", unit_cost=SAMPLE_COST),
        LineInput("post", "Return post"),
    ]
    try:
        return price(lines, policy).total
    except PricingError:
        return None


def _draft_total(draft: QuoteDraft, rates: Rates) -> Decimal | None:
    try:
        total: Decimal = drafts.price_draft(draft.lines, draft.order, rates)[MEND].priced.total
    except Refused:
        return None
    return total
