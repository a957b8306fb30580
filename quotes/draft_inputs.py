"""From a draft's lines, plain JSON, to what the pricing reads. Parts, remedies and surcharges are looked up now."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from quotes.choice_sums import MEND, Wanted
from quotes.models import Part, Remedy, Surcharge
from quotes.part_words import named_as
from quotes.pricing import LineInput


@dataclass(frozen=True)
class _Book:
    parts: Mapping[int, Part]
    remedies: Mapping[int, Remedy]
    surcharges: Mapping[int, Surcharge]


def wanted_lines(lines: Sequence[dict[str, Any]]) -> list[Wanted]:
    """One for each line of the draft, in its order. Raises ArithmeticError for a number that cannot be read."""
    book = _Book(
        Part.objects.in_bulk(_ids(lines, "part")),
        Remedy.objects.in_bulk(_ids(lines, "remedy")),
        Surcharge.objects.in_bulk(_ids(lines, "surcharge")),
    )
    return [_wanted(number, line, book) for number, line in enumerate(lines, start=1)]


def _ids(lines: Sequence[dict[str, Any]], what: str) -> list[int]:
    return [line[what] for line in lines if line.get(what)]


def _wanted(number: int, line: dict[str, Any], book: _Book) -> Wanted:
    surcharge = book.surcharges.get(line.get("surcharge") or 0)
    by_hand = line.get("price") not in (None, "")
    return Wanted(
        _input(line, surcharge, book),
        choice=line.get("choice") or MEND,
        extra=line.get("extra") or "",
        number=number,
        percent=None if surcharge is None or by_hand else surcharge.percent,
    )


def _input(line: dict[str, Any], surcharge: Surcharge | None, book: _Book) -> LineInput:
    part, remedy = book.parts.get(line.get("part") or 0), book.remedies.get(line.get("remedy") or 0)
    set_price = Decimal(line["price"]) if line.get("price") not in (None, "") else None
    listed = _listed(part, remedy, surcharge) if set_price is None else None
    minutes = line.get("minutes")
    if remedy is not None and minutes is None:
        minutes = remedy.minutes
    return LineInput(
        kind=line["kind"],
        text=named_as(
            line.get("text") or _name(part, remedy, surcharge),
            part.get_condition_display() if part is not None else "",
        ),
        quantity=Decimal(line.get("quantity") or "1"),
        unit_price=set_price if set_price is not None else listed,
        unit_cost=part.unit_cost if part is not None else None,
        minutes=minutes,
        tax_percent=Decimal(line["tax"]) if line.get("tax") not in (None, "") else None,
        still_charged=bool(line.get("still_charged")),
        ref=_ref(part, remedy, surcharge),
        minimum_price=part.minimum_price if part is not None else None,
        listed=listed is not None,
        tax_kind=_tax_kind(part, remedy),
    )


def _listed(part: Part | None, remedy: Remedy | None, surcharge: Surcharge | None) -> Decimal | None:
    if part is not None:
        return part.list_price
    if remedy is not None:
        return remedy.flat_price
    return None if surcharge is None else surcharge.amount


def _name(part: Part | None, remedy: Remedy | None, surcharge: Surcharge | None) -> str:
    if part is not None:
        return part.name
    row = remedy or surcharge
    return "" if row is None else row.plain or row.name


def _ref(part: Part | None, remedy: Remedy | None, surcharge: Surcharge | None) -> str:
    if part is not None:
        return f"part:{part.pk}"
    if remedy is not None:
        return f"remedy:{remedy.pk}"
    return "" if surcharge is None else f"surcharge:{surcharge.pk}"


def _tax_kind(part: Part | None, remedy: Remedy | None) -> str:
    row = part or remedy
    return "" if row is None else row.tax_kind
