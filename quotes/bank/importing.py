"""Takes a statement in: first a look that changes nothing, then each movement once, all of the file or nothing."""

import datetime as dt
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from intake import wording
from intake.history import in_turn, record
from intake.models import Letterhead, Person
from quotes.bank import camt, csv_rows
from quotes.bank.csv_columns import Layout
from quotes.bank.movements import Movement, Statement, Unreadable, clean, keys
from quotes.models import BankLine, BankStatement
from quotes.refusals import Refused

# What the rows hold.
MOST = 10**11


@dataclass(frozen=True)
class Look:
    """What a file would bring: movements that are new, those known already, and what the owner should know before."""

    statements: tuple[Statement, ...]
    new: tuple[Movement, ...]
    known: int
    warnings: tuple[str, ...]
    digest: str


def look(*, data: bytes, layout: Layout | None = None) -> Look:
    """Read and compare; changes nothing. Raises Unreadable, NeedsLayout, and Refused for a file that is in already."""
    digest = hashlib.sha256(data).hexdigest()
    _refuse_known(digest)
    head = Letterhead.current()
    statements = _read(data, head.currency, layout)
    _refuse_huge(statements)
    named = [pair for statement in statements for pair in _named(statement)]
    known = set(BankLine.objects.filter(key__in=[key for key, _ in named]).values_list("key", flat=True))
    new = {key: movement for key, movement in named if key not in known}
    warnings = [note for statement in statements for note in (*statement.notes, *_strange(statement, head))]
    return Look(
        statements=tuple(statements),
        new=tuple(new.values()),
        known=len(named) - len(new),
        warnings=tuple(dict.fromkeys([*warnings, *_doubles(statements)])),
        digest=digest,
    )


def _read(data: bytes, currency: str, layout: Layout | None) -> list[Statement]:
    if not data.strip():
        raise Unreadable("The file is empty.")
    if not camt.looks_like_xml(data):
        return [csv_rows.read(data, currency=currency, layout=layout)]
    statements = camt.read(data)
    foreign = sorted({row.currency for row in statements if row.currency != currency})
    if foreign:
        raise Unreadable(
            f"The statement is in {', '.join(foreign)}; this shop's money is {currency}. Nothing was taken in."
        )
    return statements


def _refuse_huge(statements: Sequence[Statement]) -> None:
    for row in statements:
        amounts = [row.opening, row.closing, *(movement.amount for movement in row.movements)]
        if any(amount is not None and abs(amount) >= MOST for amount in amounts):
            raise Unreadable("An amount has more than eleven digits before the point. Is it the right file?")


def _refuse_known(digest: str) -> None:
    before = BankStatement.objects.filter(digest=digest).first()
    if before is not None:
        raise Refused(
            f"This file was taken in on {wording.day_year(before.at.date())} as {before.file_name}. Nothing is new in it."
        )


def _named(statement: Statement) -> list[tuple[str, Movement]]:
    return list(zip(keys(statement.movements), statement.movements, strict=True))


def _strange(statement: Statement, head: Letterhead) -> list[str]:
    """An account that is not the one on the letterhead: the owner may have two, so it only warns."""
    ours = "".join(head.bank_account.split()).upper()
    theirs = "".join(statement.account.split()).upper()
    if not ours or not theirs or ours in theirs or theirs in ours:
        return []
    return [
        f"This is account {statement.account}; the letterhead names {head.bank_account}. Is it the right file?"
    ]


def _doubles(statements: Sequence[Statement]) -> list[str]:
    """The same movements read from another kind of file have other words, and so other keys: say it, do not guess."""
    movements = [movement for statement in statements for movement in statement.movements]
    days = {movement.day for movement in movements}
    forms = {statement.form for statement in statements}
    others = BankLine.objects.filter(day__in=days).exclude(statement__form__in=forms)
    there = set(others.values_list("day", "amount"))
    alike = sum((movement.day, movement.amount) in there for movement in movements)
    if not alike:
        return []
    said = wording.count(alike, "movement has", "movements have")
    why = f"{said} the day and the amount of one that came from another kind of file."
    return [f"{why} Take in one kind only, or these may stand here twice."]


@in_turn
def take_in(
    *, data: bytes, file_name: str, layout: Layout | None, by: Person, at: dt.datetime
) -> list[BankStatement]:
    """Write every movement that is not known yet, and the statements they came with. Raises what `look` raises.

    Two who press at once: the second is told that the file is in.
    """
    seen = look(data=data, layout=layout)
    taken = []
    known: set[str] = set()
    for number, statement in enumerate(seen.statements):
        digest = (
            seen.digest if number == 0 else hashlib.sha256(f"{seen.digest}:{number}".encode()).hexdigest()
        )
        taken.append(_write(statement, digest, file_name, known, by, at))
    record(
        order=None,
        what="bank statement",
        by=by.username,
        at=at,
        facts={"file": taken[0].file_name, "digest": seen.digest, "new": len(seen.new), "known": seen.known},
    )
    return taken


def _write(
    statement: Statement, digest: str, file_name: str, known: set[str], by: Person, at: dt.datetime
) -> BankStatement:
    row = BankStatement.objects.create(
        digest=digest,
        form=statement.form,
        file_name=clean(file_name, 120) or "statement",
        account=statement.account,
        ident=statement.ident,
        currency=statement.currency,
        opening=statement.opening,
        closing=statement.closing,
        at=at,
        by=by,
    )
    named = _named(statement)
    known |= set(BankLine.objects.filter(key__in=[key for key, _ in named]).values_list("key", flat=True))
    BankLine.objects.bulk_create(
        BankLine(
            statement=row, key=key, day=movement.day, amount=movement.amount, name=movement.name,
            reference=movement.reference, text=movement.text, bank_ref=movement.bank_ref,
        )
        for key, movement in named if key not in known
    )  # fmt: skip
    return row
