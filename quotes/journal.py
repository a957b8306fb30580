"""Reading the books: the journal, the balances, and the digest that a closing keeps."""

import datetime as dt
import hashlib
import zoneinfo
from collections.abc import Iterable
from decimal import Decimal

from django.db.models import Max, QuerySet

from intake import history
from intake.models import Letterhead, Order
from quotes.models import Closing, Entry, Posting

# No engine takes the keys of any number of rows at once.
CHUNK = 2000


def day_at(at: dt.datetime, head: Letterhead) -> dt.date:
    """The day on the calendar of a letterhead's zone."""
    return at.astimezone(zoneinfo.ZoneInfo(head.zone)).date()


def shop_day(at: dt.datetime) -> dt.date:
    """The day on the shop's own calendar as it is set now."""
    return day_at(at, Letterhead.current())


def closed_upto() -> dt.date | None:
    """The last closed day, or None."""
    upto: dt.date | None = Closing.objects.aggregate(upto=Max("upto"))["upto"]
    return upto


def journal(since: dt.date | None = None, upto: dt.date | None = None) -> QuerySet[Entry]:
    """Entries of the days from `since` to `upto`, both included, by number, with `postings` and `order` at hand."""
    entries = Entry.objects.select_related("order").prefetch_related("postings").order_by("number")
    if since is not None:
        entries = entries.filter(day__gte=since)
    return entries if upto is None else entries.filter(day__lte=upto)


def balances(upto: dt.date | None = None, *, currency: str = "") -> dict[tuple[str, str], Decimal]:
    """The sum of each (account, kind) at the end of a day, or now; accounts that stand at nought are left out.

    `currency` leaves out what a shop booked in another one before it changed.

    Added here and not in the database, which on SQLite would add in floating point.
    """
    postings = Posting.objects.all() if upto is None else Posting.objects.filter(entry__day__lte=upto)
    if currency:
        postings = postings.filter(entry__currency=currency)
    return sums_of(postings.values_list("account", "kind", "amount").iterator(5000))


def sums_of(postings: Iterable[tuple[str, str, Decimal]]) -> dict[tuple[str, str], Decimal]:
    """Amounts by account and kind, those at nought left out."""
    sums: dict[tuple[str, str], Decimal] = {}
    for account, kind, amount in postings:
        sums[account, kind] = sums.get((account, kind), Decimal(0)) + amount
    return {place: sums[place] for place in sorted(sums) if sums[place]}


def balance_of(account: str, kind: str | None = None, *, order: Order | None = None) -> Decimal:
    """The sum of one account, of all its kinds or one, of all orders or one."""
    postings = Posting.objects.filter(account=account)
    if kind is not None:
        postings = postings.filter(kind=kind)
    if order is not None:
        postings = postings.filter(entry__order=order)
    return sum(postings.values_list("amount", flat=True), Decimal(0))


def sums_as_text(sums: dict[tuple[str, str], Decimal]) -> dict[str, str]:
    """Balances as a closing keeps them: "tax S 8" to an amount as text, digits as in the books."""
    return {f"{account} {kind}".strip(): plain(amount) for (account, kind), amount in sums.items()}


def plain(amount: Decimal) -> str:
    """Without the noughts that the database adds: both engines, and every currency, write the same."""
    return f"{amount.normalize():f}"


def digest_of(entries: Iterable[Entry]) -> str:
    """SHA-256 of the journal: every column of every entry and posting, in the order of the numbers."""
    return digest_of_lines(line_of(entry) for entry in entries)


def digest_of_lines(lines: Iterable[bytes]) -> str:
    """The same of entries that are written out already (`line_of`)."""
    digest = hashlib.sha256()
    for line in lines:
        digest.update(line)
    return digest.hexdigest()


def line_of(entry: Entry) -> bytes:
    """Every column of an entry and its postings, as one line."""
    row = [
        entry.number, entry.key, entry.day.isoformat(), entry.at.astimezone(dt.UTC).isoformat(), entry.what,
        entry.text, entry.document, entry.order.code if entry.order else "", entry.currency, entry.by,
        sorted([posting.account, posting.kind, plain(posting.amount)] for posting in entry.postings.all()),
    ]  # fmt: skip
    return history.canonical(row).encode() + b"\n"


def balance_of_entry(key: str, account: str) -> Decimal:
    """What one entry, named by its key, put into one account."""
    postings = Posting.objects.filter(entry__key=key, account=account)
    return sum(postings.values_list("amount", flat=True), Decimal(0))
