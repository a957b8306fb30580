"""A quote being put together: kept line by line, priced, and shown as it would be sent."""

import datetime as dt
import secrets
import zoneinfo
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from intake.history import in_turn
from intake.models import Letterhead, Order
from intake.money import MOST
from quotes import decisions
from quotes.models import Part, QuoteDraft, Rates, Remedy
from quotes.policies import policy_of
from quotes.pricing import Choices, LineInput, Priced, PricingError, choices, price
from quotes.refusals import Refused
from quotes.showing import shown_of

MOST_LINES = 40


@dataclass(frozen=True)
class Preview:
    """A draft worked out: what it would cost, what each choice costs, and exactly what would be shown."""

    priced: Priced
    choices: Choices
    shown: dict[str, Any]
    short_parts: list[str]


def draft_of(order: Order, *, at: dt.datetime) -> QuoteDraft:
    """The order's draft, made with the return post on it if there is none yet."""
    draft = QuoteDraft.objects.filter(order=order).first()
    if draft is not None:
        return draft
    rates = Rates.current()
    zone = zoneinfo.ZoneInfo(Letterhead.current().zone)
    draft, _ = QuoteDraft.objects.get_or_create(
        order=order,
        defaults={
            "lines": [{"kind": "post", "text": "Return post", "quantity": "1"}],
            "promise": at.astimezone(zone).date() + dt.timedelta(days=rates.promise_days),
            "form_key": secrets.token_hex(16),
            "changed_at": at,
        },
    )
    return draft


@in_turn
def save_draft(
    *, draft: QuoteDraft, lines: list[dict[str, Any]], words: str, promise: dt.date | None, at: dt.datetime
) -> QuoteDraft:
    """Keep the draft; raises Refused with the line's sentence when it cannot be priced."""
    if len(lines) > MOST_LINES:
        raise Refused(f"A quote holds at most {MOST_LINES} lines.")
    price_lines(lines, draft.order, Rates.current())
    QuoteDraft.objects.filter(pk=draft.pk).update(
        lines=lines, words=words[:2000], promise=promise, version=draft.version + 1, changed_at=at
    )
    draft.refresh_from_db()
    return draft


def line_inputs(lines: list[dict[str, Any]]) -> list[LineInput]:
    """From a draft's lines to what the pricing reads; stock and remedy rows are looked up now."""
    parts = Part.objects.in_bulk([line["part"] for line in lines if line.get("part")])
    remedies = Remedy.objects.in_bulk([line["remedy"] for line in lines if line.get("remedy")])
    return [_input(line, parts, remedies) for line in lines]


def _input(line: dict[str, Any], parts: dict[int, Part], remedies: dict[int, Remedy]) -> LineInput:
    part, remedy = parts.get(line.get("part") or 0), remedies.get(line.get("remedy") or 0)
    set_price = Decimal(line["price"]) if line.get("price") not in (None, "") else None
    minutes = line.get("minutes")
    if remedy is not None and minutes is None:
        minutes = remedy.minutes
    unit_price, cost = set_price, None
    if part is not None:
        cost = part.unit_cost
        unit_price = set_price if set_price is not None else part.list_price
    if remedy is not None and set_price is None:
        unit_price = remedy.flat_price
    return LineInput(
        kind=line["kind"],
        text=line.get("text")
        or (part.name if part else "")
        or (remedy.plain or remedy.name if remedy else ""),
        quantity=Decimal(line.get("quantity") or "1"),
        unit_price=unit_price,
        unit_cost=cost,
        minutes=minutes,
        tax_percent=Decimal(line["tax"]) if line.get("tax") not in (None, "") else None,
        still_charged=bool(line.get("still_charged")),
        ref=f"part:{part.pk}" if part else (f"remedy:{remedy.pk}" if remedy else ""),
    )


def price_lines(lines: list[dict[str, Any]], order: Order, rates: Rates) -> tuple[Priced, Choices]:
    policy = policy_of(rates, order.currency)
    try:
        priced = price(line_inputs(lines), policy)
        options = choices(priced, policy)
    except ArithmeticError as fault:
        raise Refused("One of the numbers cannot be read.", field="lines") from fault
    except PricingError as fault:
        raise Refused(str(fault), field="lines") from fault
    totals = [priced.net, *(choice.total for choice in (options.mend, options.back, options.no_fix))]
    if min(totals) < 0:
        raise Refused(
            "Together the lines come to less than nought. Make the reduction smaller.", field="lines"
        )
    if max(totals) > MOST:
        raise Refused("Together the lines come to more than 1,000,000.", field="lines")
    return priced, options


def preview(draft: QuoteDraft, *, at: dt.datetime) -> Preview:
    """Work the draft out as it would be sent now. Raises Refused."""
    order, rates, head = draft.order, Rates.current(), Letterhead.current()
    finding = order.findings.order_by("-at", "-id").first()
    if finding is None:
        raise Refused("No price before a finding.")
    priced, options = price_lines(draft.lines, order, rates)
    shown = shown_of(
        order=order,
        finding=finding,
        draft=draft,
        priced=priced,
        options=options,
        rates=rates,
        head=head,
        revision=next_revision(order),
        valid_until=valid_until(rates, head, at),
        agreed_before=decisions.agreed_quote(order) is not None,
    )
    return Preview(priced, options, shown, short_parts(draft.lines))


def next_revision(order: Order) -> int:
    last = order.quotes.order_by("-revision").first()
    return last.revision + 1 if last is not None else 1


def valid_until(rates: Rates, head: Letterhead, at: dt.datetime) -> dt.datetime:
    """The end of the last day the quote stands, in the shop's zone, as a UTC moment."""
    zone = zoneinfo.ZoneInfo(head.zone)
    day = at.astimezone(zone).date() + dt.timedelta(days=rates.quote_days + 1)
    return dt.datetime.combine(day, dt.time(0, 0), zone).astimezone(dt.UTC) - dt.timedelta(seconds=1)


def short_parts(lines: list[dict[str, Any]]) -> list[str]:
    """A sentence for each part the bin is short of."""
    wanted: dict[int, int] = {}
    for line in lines:
        if line.get("part"):
            wanted[line["part"]] = wanted.get(line["part"], 0) + int(Decimal(line.get("quantity") or "1"))
    parts = Part.objects.in_bulk(list(wanted))
    return [
        f"{part.number} {part.name}: {wanted[pk]} wanted, {part.free} free in the bin."
        for pk, part in sorted(parts.items())
        if part.free < wanted[pk]
    ]
