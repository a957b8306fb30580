"""The rows of a quote that is sent: each choice with its words, each line with its price, tax and part."""

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from quotes.choice_sums import WORK, OfferedLine, Sums
from quotes.drafts import Preview
from quotes.models import Part, Quote, QuoteChoice, QuoteLine


def freeze_choices(quote: Quote, worked: Preview) -> None:
    """Write the choices in the order in which they are shown, and the lines of those that are work, numbered through."""
    shown = {row["choice"]: row for row in quote.shown["choices"]}
    QuoteChoice.objects.bulk_create(
        _choice(quote, name, row, worked) for name, row in shown.items() if name != "first"
    )
    offered = [name for name in worked.offered if name in WORK]
    rows = [(name, row) for name in offered for row in worked.sums[name].lines]
    parts = Part.objects.in_bulk([int(_pk(row)) for _, row in rows if _what(row) == "part"])
    QuoteLine.objects.bulk_create(
        _line(quote, number, name, row, parts) for number, (name, row) in enumerate(rows, start=1)
    )


def _choice(quote: Quote, name: str, shown: dict[str, Any], worked: Preview) -> QuoteChoice:
    sums: Sums | None = worked.sums.get(name)
    ends = worked.choices
    made = sums.ends.mend if sums is not None else {"back": ends.back, "recycle": ends.recycle}[name]
    return QuoteChoice(
        quote=quote,
        choice=name,
        label=shown["label"],
        net=made.net,
        tax=made.tax,
        total=made.total,
        no_fix_total=sums.ends.no_fix.total if sums is not None else Decimal(0),
        promise=dt.date.fromisoformat(shown["promise"]) if shown.get("promise") else None,
        warranty_days=shown.get("warranty_days", 0),
        chance=shown.get("chance", "")[:200],
        data_words=shown.get("data_words", "")[:300],
        fails_words=shown.get("fails_words", "")[:300],
    )


def _line(quote: Quote, number: int, choice: str, row: OfferedLine, parts: Mapping[int, Part]) -> QuoteLine:
    line, what = row.line, _what(row)
    part = parts.get(int(_pk(row))) if what == "part" else None
    return QuoteLine(
        quote=quote,
        number=number,
        choice=choice,
        extra=row.extra,
        kind=line.kind,
        text=line.text[:200],
        quantity=line.quantity,
        unit_price=line.unit_price,
        per=line.per,
        allowance=line.allowance,
        charge=line.charge,
        net=line.net,
        tax_percent=line.rate,
        tax_category=line.tax_category,
        tax_reason=line.tax_reason[:200],
        still_charged=line.still_charged and line.kind != "post",
        unit_cost=line.cash_cost / line.quantity,
        minutes=int(line.minutes),
        part=part,
        remedy_id=int(_pk(row)) if what == "remedy" else None,
        condition=part.get_condition_display() if part else "",
        why=line.why[:300],
    )


def _what(row: OfferedLine) -> str:
    return row.line.ref.partition(":")[0]


def _pk(row: OfferedLine) -> str:
    return row.line.ref.partition(":")[2]
