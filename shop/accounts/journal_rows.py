"""The journal as rows for the page and for spreadsheets: one row a posting, debit and credit apart."""

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet

from quotes.models import Account, Posting

NOUGHT = Decimal(0)
# Looked up for every posting: the choices' own labels are worked out anew each time.
_NAMES = {account.value: str(account.label) for account in Account}
HEAD = (
    "entry", "day", "time", "what", "text", "document", "order", "account", "kind", "debit", "credit", "currency", "by",
)  # fmt: skip
ENTRY = ("number", "day", "at", "what", "text", "document", "currency", "by", "order")


@dataclass(frozen=True)
class Row:
    """One posting; `debit` or `credit` is None, the other above nought."""

    entry: int
    day: dt.date
    time: str
    what: str
    text: str
    document: str
    order: str
    account: str
    kind: str
    debit: Decimal | None
    credit: Decimal | None
    currency: str
    by: str

    @property
    def kind_words(self) -> str:
        return kind_words(self.kind)


@dataclass(frozen=True)
class Sum:
    """One account of a period, or all of them together."""

    account: str
    kind: str
    debit: Decimal
    credit: Decimal

    @property
    def balance(self) -> Decimal:
        return self.debit - self.credit

    @property
    def kind_words(self) -> str:
        return kind_words(self.kind)


def kind_words(kind: str) -> str:
    """What stands within an account, for a page: "S 8" (letter of EN 16931 and percent) becomes "8 % (S)"."""
    letter, _, percent = kind.partition(" ")
    return f"{percent} % ({letter})" if percent and letter.isupper() else kind


def postings(since: dt.date, upto: dt.date) -> QuerySet[Posting]:
    """The postings of the days from `since` to `upto`, both included, by entry."""
    return (
        Posting.objects.filter(entry__day__range=(since, upto))
        .select_related("entry__order")
        .only("account", "kind", "amount", *(f"entry__{name}" for name in ENTRY), "entry__order__code")
        .order_by("entry__number", "pk")
    )


def rows(found: Iterable[Posting], *, zone: dt.tzinfo) -> Iterator[Row]:
    """Each posting as a row. `zone` is given, since a file is written when the page's own zone is gone already."""
    for posting in found:
        entry, amount = posting.entry, posting.amount
        yield Row(
            entry=entry.number,
            day=entry.day,
            time=f"{entry.at.astimezone(zone):%H:%M}",
            what=entry.what,
            text=entry.text,
            document=entry.document,
            order=entry.order.code if entry.order else "",
            account=account_name(posting.account),
            kind=posting.kind,
            debit=amount if amount > 0 else None,
            credit=-amount if amount < 0 else None,
            currency=entry.currency,
            by=entry.by,
        )


def account_name(account: str) -> str:
    return _NAMES.get(account, account)


@dataclass(frozen=True)
class Sums:
    """Every account of a period in one currency, and all of them together."""

    currency: str
    rows: tuple[Sum, ...]
    total: Sum


def sums(since: dt.date, upto: dt.date) -> list[Sums]:
    """Debit and credit of each account and kind over a period, for each currency by itself.

    Added here: SQLite would add in floating point.
    """
    found: dict[str, dict[tuple[str, str], list[Decimal]]] = {}
    columns = Posting.objects.filter(entry__day__range=(since, upto)).order_by()
    fields = ("entry__currency", "account", "kind", "amount")
    for currency, account, kind, amount in columns.values_list(*fields).iterator(5000):
        sides = found.setdefault(currency, {}).setdefault((account, kind), [NOUGHT, NOUGHT])
        sides[0 if amount > 0 else 1] += abs(amount)
    return [_sums(currency, found[currency]) for currency in sorted(found)]


def _sums(currency: str, sides: dict[tuple[str, str], list[Decimal]]) -> Sums:
    order = {account: place for place, account in enumerate(Account.values)}
    rows = tuple(
        Sum(account_name(account), kind, *sides[account, kind])
        for account, kind in sorted(sides, key=lambda key: (order.get(key[0], 99), key[1]))
    )
    debit = sum((row.debit for row in rows), NOUGHT)
    credit = sum((row.credit for row in rows), NOUGHT)
    return Sums(currency, rows, Sum("All", "", debit, credit))
