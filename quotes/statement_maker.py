"""From the row of a statement to its paper."""

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from intake.makers import head_of
from intake.models import Paper
from intake.paper_files import register
from quotes.models import Statement
from quotes.papers.statement import BLOCK, BillRow, StatementLine, StatementPaper, statement_pdf

T = TypeVar("T")


def paper_of(statement: Statement) -> StatementPaper:
    """The frozen words of a statement as its paper."""
    shown: dict[str, Any] = statement.shown
    interest = shown.get("interest")
    until = _day(shown["until"])
    return StatementPaper(
        head=head_of(statement.letterhead),
        number=statement.number,
        customer=tuple(shown["to"]),
        since=_day(shown["from"]),
        until=until,
        written=statement.at.astimezone(ZoneInfo(statement.letterhead.zone)).date(),
        opening=Decimal(shown["opening"]),
        closing=Decimal(shown["closing"]),
        lines=_blocks([_line(row) for row in shown["lines"]]),
        bills=_blocks([_bill(row, until) for row in shown["bills"]]),
        ages=tuple((name, Decimal(amount)) for name, amount in shown["ages"].items()),
        late=Decimal(shown["late"]),
        earlier=Decimal(shown["earlier"]),
        tax_number=shown["tax_number"],
        bank_account=statement.letterhead.bank_account,
        interest=Decimal(interest["sum"]) if interest else None,
        interest_percent=Decimal(interest["percent"]) if interest else Decimal(0),
    )


def _line(row: dict[str, str]) -> StatementLine:
    return StatementLine(_day(row["day"]), row["text"], row["document"], row["order"], Decimal(row["amount"]))


def _bill(row: dict[str, str], until: dt.date) -> BillRow:
    left, due = Decimal(row["left"]), _day(row["due"])
    return BillRow(row["number"], _day(row["day"]), due, left, is_late=left > 0 and due < until)


def _blocks(rows: Sequence[T]) -> tuple[tuple[T, ...], ...]:
    return tuple(tuple(rows[start : start + BLOCK]) for start in range(0, len(rows), BLOCK))


def _day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def _statement(paper: Paper) -> bytes:
    return statement_pdf(
        paper_of(Statement.objects.select_related("letterhead", "account__customer").get(pk=paper.ref))
    )


def register_all() -> None:
    register("statement", _statement)
