"""The proof: everything that was billed, paid and booked, counted again from the rows. Each fault is one sentence.

It reads only and trusts no sum that is kept: who changed a row behind the locks is found by what no longer fits.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from intake.models import Order
from quotes.document_shapes import invoice_legs
from quotes.journal import CHUNK, digest_of_lines, journal, line_of, sums_as_text, sums_of
from quotes.ledger_maths import NOUGHT, Leg, Standing, by_kind, payment, write_off
from quotes.models import (
    BankMatch,
    Closing,
    Dispute,
    DisputeEnd,
    Entry,
    Invoice,
    NumberSeries,
    Payment,
    Posting,
    Statement,
    WriteOff,
)
from quotes.numbers import PREFIXES
from quotes.owed import standings
from quotes.proof_documents import document_faults, documents_of_all


def prove() -> list[str]:
    """Every fault in the books as one sentence; an empty list when all is well."""
    # Of each order the code alone: it has some thirty columns.
    own = [field.attname for field in Entry._meta.concrete_fields]
    entries = list(journal().only(*own, "order__code").iterator(CHUNK))
    documents = documents_of_all()
    return [
        *(fault for entry in entries for fault in _one_entry(entry)),
        *_bookings({entry.key: entry for entry in entries}, documents),
        *_orders(entries),
        *_series(),
        *document_faults(documents),
        *_closings(entries),
    ]


def _one_entry(entry: Entry) -> Iterator[str]:
    postings = list(entry.postings.all())
    if not postings:
        yield f"Entry {entry.number} has no postings."
    elif off := sum((posting.amount for posting in postings), NOUGHT):
        yield f"Entry {entry.number} ({entry.what}) does not sum to nought: it is off by {_plain(off)}."


@dataclass(frozen=True)
class _Wanted:
    """An entry that must be there. `legs` is None where they follow from what went before; the sums of the order tell."""

    key: str
    said: str
    order: int | None
    currency: str
    legs: tuple[Leg, ...] | None
    optional: bool = False


def _bookings(entries: dict[str, Entry], documents: list[Invoice]) -> Iterator[str]:
    known = set()
    for wanted in _wanted(documents, _codes()):
        known.add(wanted.key)
        entry = entries.get(wanted.key)
        if entry is None:
            if not wanted.optional:
                yield f"{wanted.said} is not in the journal."
        elif (entry.order_id, entry.currency) != (wanted.order, wanted.currency) or (
            wanted.legs is not None and _sorted(wanted.legs) != _sorted(entry.postings.all())
        ):
            yield f"Entry {entry.number} does not say what {_inside(wanted.said)} says."
    for key, entry in entries.items():
        if key not in known:
            yield f"Entry {entry.number} ({entry.what}) belongs to nothing that was billed or paid."


def _sorted(legs: Iterable[Leg | Posting]) -> list[tuple[str, str, Decimal]]:
    return sorted((leg.account, leg.kind, leg.amount) for leg in legs)


def _inside(said: str) -> str:
    return said[0].lower() + said[1:]


def _wanted(documents: list[Invoice], codes: dict[int, str]) -> Iterator[_Wanted]:
    for bill in documents:
        said = f"{bill.get_kind_display()} {bill.number}"
        yield _Wanted(f"invoice:{bill.pk}", said, bill.order_id, bill.currency, invoice_legs(bill))
    lacking = set(
        Dispute.objects.filter(payment__purpose="deposit").values_list("payment__order_id", flat=True)
    )
    for paid in Payment.objects.all():
        said = f"The payment of {_plain(paid.amount)} on {codes[paid.order_id]}"
        plain = paid.purpose != Payment.Purpose.DEPOSIT or paid.order_id not in lacking
        legs = payment(
            kind=paid.kind, purpose=paid.purpose, amount=paid.amount, fee=paid.fee, rounding=paid.rounding
        )
        yield _Wanted(f"payment:{paid.pk}", said, paid.order_id, paid.currency, legs if plain else None)
    for given in WriteOff.objects.all():
        said = f"The write-off of {_plain(given.amount)} on {codes[given.order_id]}"
        yield _Wanted(f"write-off:{given.pk}", said, given.order_id, given.currency, write_off(given.amount))
    for held in Dispute.objects.select_related("payment"):
        paid = held.payment
        said = f"The dispute of {_plain(held.amount)} on {codes[paid.order_id]}"
        yield _Wanted(f"dispute:{held.pk}", said, paid.order_id, paid.currency, None)
    for end in DisputeEnd.objects.select_related("dispute__payment"):
        paid = end.dispute.payment
        said = f"The end of the dispute of {_plain(end.dispute.amount)} on {codes[paid.order_id]}"
        # A deposit lost before it was set off moves nothing when it ends.
        maybe = not end.won and paid.purpose == Payment.Purpose.DEPOSIT
        yield _Wanted(f"dispute-end:{end.pk}", said, paid.order_id, paid.currency, None, optional=maybe)
    for match in BankMatch.objects.filter(payment__isnull=True).select_related("line__statement"):
        # Most movements without a payment are none of the shop's; those that are carry the movement's own sum.
        line = match.line
        legs = (Leg("bank", "", line.amount), Leg("card", "", -line.amount))
        said = f"The bank's movement of {_plain(line.amount)} on {line.day}"
        yield _Wanted(f"payout:{line.key}", said, None, line.statement.currency, legs, optional=True)


def _orders(entries: list[Entry]) -> Iterator[str]:
    """The accounts of each order against its papers."""
    booked: dict[int | None, dict[str, Decimal]] = {}
    for entry in entries:
        for posting in entry.postings.all():
            if posting.account in ("receivable", "held", "deposits"):
                sums = booked.setdefault(entry.order_id, {})
                sums[posting.account] = sums.get(posting.account, NOUGHT) + posting.amount
    papers = standings()
    codes = _codes()
    for order in sorted({*booked, *papers} - {None}, key=lambda pk: pk or 0):
        assert order is not None
        sums, told = booked.get(order, {}), papers.get(order, Standing())
        owed = sums.get("receivable", NOUGHT) + sums.get("held", NOUGHT)
        if owed != told.balance:
            yield f"{codes[order]}: the journal says {_plain(owed)} is owed, its papers say {_plain(told.balance)}."
        held = -sums.get("deposits", NOUGHT)
        if held != told.deposit_held:
            yield (
                f"{codes[order]}: the journal holds a deposit of {_plain(held)}, its papers say "
                f"{_plain(told.deposit_held)}."
            )
        if told.deposits < 0:
            yield f"{codes[order]}: more deposit went back than came."


def _codes() -> dict[int, str]:
    return dict(Order.objects.order_by().values_list("pk", "code"))


def _series() -> Iterator[str]:
    kept = dict(NumberSeries.objects.values_list("kind", "next"))
    taken: dict[str, list[str]] = {
        "invoice": list(Invoice.objects.filter(kind="invoice").values_list("number", flat=True)),
        "credit": list(Invoice.objects.filter(kind="credit").values_list("number", flat=True)),
        "statement": list(Statement.objects.values_list("number", flat=True)),
        "entry": [str(number) for number in Entry.objects.values_list("number", flat=True)],
    }
    for kind, numbers in taken.items():
        yield from _one_series(kind, numbers, kept.get(kind, 1))


def _one_series(kind: str, taken: list[str], following: int) -> Iterator[str]:
    prefix = PREFIXES.get(kind)
    should = {f"{prefix}-{number:05d}" if prefix else str(number) for number in range(1, following)}
    for number in sorted(should - set(taken)):
        yield f"Number {number} of the series {kind} is missing."
    for number in sorted(set(taken) - should):
        yield f"Number {number} was not taken from the series {kind}; {following} comes next there."
    for number, times in by_kind((number, Decimal(1)) for number in taken).items():
        if times > 1:
            yield f"Number {number} of the series {kind} was used {times} times."


def _closings(entries: list[Entry]) -> Iterator[str]:
    closings = list(Closing.objects.order_by("upto"))
    lines = [line_of(entry) for entry in entries] if closings else []
    for closing in closings:
        own = [entry for entry in entries if entry.day <= closing.upto]
        mine = (line for entry, line in zip(entries, lines, strict=True) if entry.day <= closing.upto)
        said = f"The closing of {closing.upto.isoformat()}"
        if digest_of_lines(mine) != closing.digest:
            yield f"{said} does not fit the journal: something was changed or added since."
        if max((entry.number for entry in own), default=0) != closing.last_entry:
            yield f"{said} names entry {closing.last_entry} as its last, and that is not so."
        if sums_as_text(_sums(own)) != closing.sums:
            yield f"{said} keeps other sums than the journal has."


def _sums(entries: Iterable[Entry]) -> dict[tuple[str, str], Decimal]:
    postings = (posting for entry in entries for posting in entry.postings.all())
    return sums_of((posting.account, posting.kind, posting.amount) for posting in postings)


def _plain(amount: Decimal) -> str:
    return f"{amount.normalize():f}"
