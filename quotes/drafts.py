"""A quote being put together: kept line by line, priced, and shown as it would be sent."""

import datetime as dt
import secrets
import zoneinfo
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from intake.history import in_turn
from intake.models import Letterhead, Order
from intake.money import MOST
from quotes.agreed import agreed_quote
from quotes.choice_sums import MEND, WORK, Sums, sums_of
from quotes.choice_words import LABELS
from quotes.draft_inputs import wanted_lines
from quotes.models import Part, QuoteDraft, Rates
from quotes.policies import policy_for
from quotes.pricing import Choices, Priced, PricingError
from quotes.refusals import Refused
from quotes.showing import shown_of

MOST_LINES = 40


@dataclass(frozen=True)
class Preview:
    """A draft worked out: what it would cost, what each choice costs, and exactly what would be shown.

    `priced` and `choices` are the repair's, extras apart; `sums` has every choice that is offered or has lines.
    """

    priced: Priced
    choices: Choices
    shown: dict[str, Any]
    short_parts: list[str]
    sums: Mapping[str, Sums]
    offered: tuple[str, ...]
    missing: list[str]


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
    *,
    draft: QuoteDraft,
    lines: list[dict[str, Any]],
    words: str,
    promise: dt.date | None,
    at: dt.datetime,
    **more: Any,
) -> QuoteDraft:
    """Keep the draft; raises Refused with the line's sentence when it cannot be priced.

    `more`: choices, deposit and deposit_words, where they change.
    """
    if len(lines) > MOST_LINES:
        raise Refused(f"A quote holds at most {MOST_LINES} lines.")
    price_draft(lines, draft.order, Rates.current())
    QuoteDraft.objects.filter(pk=draft.pk).update(
        lines=lines, words=words[:2000], promise=promise, version=draft.version + 1, changed_at=at, **more
    )
    draft.refresh_from_db()
    return draft


def price_draft(
    lines: list[dict[str, Any]], order: Order, rates: Rates, offered: Sequence[str] = ()
) -> dict[str, Sums]:
    """Each choice that is offered, or has lines, by its name; mending is always there. Raises Refused."""
    policy = policy_for(order, rates)
    try:
        wanted = wanted_lines(lines)
        names = [
            name for name in WORK if name in (MEND, *offered) or any(row.choice == name for row in wanted)
        ]
        found = {
            name: sums_of(wanted, policy, choice=name, waived_above=rates.fee_waived_above) for name in names
        }
    except ArithmeticError as fault:
        raise Refused("One of the numbers cannot be read.", field="lines") from fault
    except PricingError as fault:
        raise Refused(str(fault), field="lines") from fault
    for sums in found.values():
        _check_sums(sums)
    return found


def _check_sums(sums: Sums) -> None:
    totals = [sums.priced.net, sums.ends.back.total, sums.ends.no_fix.total, *sums.totals.values()]
    if min(totals) < 0:
        raise Refused(
            "Together the lines come to less than nought. Make the reduction smaller.", field="lines"
        )
    if max(totals) > MOST:
        raise Refused("Together the lines come to more than 1,000,000.", field="lines")


def preview(draft: QuoteDraft, *, at: dt.datetime) -> Preview:
    """Work the draft out as it would be sent now. Raises Refused."""
    order, rates, head = draft.order, Rates.current(), Letterhead.current()
    finding = order.findings.order_by("-at", "-id").first()
    if finding is None:
        raise Refused("No price before a finding.")
    agreed_before = agreed_quote(order) is not None
    offered = offered_of(draft, agreed_before=agreed_before)
    sums = price_draft(draft.lines, order, rates, offered)
    shown = shown_of(
        order=order,
        finding=finding,
        draft=draft,
        sums={name: sums[name] for name in offered},
        rates=rates,
        head=head,
        revision=next_revision(order),
        valid_until=valid_until(rates, head, at),
        agreed_before=agreed_before,
    )
    mend = sums[MEND]
    return Preview(
        mend.priced, mend.ends, shown, short_parts(draft.lines), sums, offered, missing(draft, sums, offered)
    )


def offered_of(draft: QuoteDraft, *, agreed_before: bool) -> tuple[str, ...]:
    """The choices of work that the draft offers. While a first job waits there is only the whole of it."""
    if agreed_before:
        return (MEND,)
    return tuple(name for name in WORK if name == MEND or draft.choices.get(name, {}).get("on"))


def missing(draft: QuoteDraft, sums: Mapping[str, Sums], offered: Sequence[str]) -> list[str]:
    """A sentence for each thing without which the quote cannot be sent; the most needed one first."""
    said = []
    for name in offered:
        worked = any(row.line.kind == "labour" and not row.extra for row in sums[name].lines)
        if not worked and name == MEND:
            said.append("Add the labour first: a quote without work has nothing to mend.")
        elif not worked:
            said.append(
                f"{LABELS[name]}: add its labour first and say under the line that it is for this choice, or do not offer it."
            )
    try:
        check_deposit(draft.lines, draft.deposit, sums[MEND].priced.total)
    except Refused as refusal:
        said.append(refusal.sentence)
    return said


def check_deposit(lines: Sequence[dict[str, Any]], deposit: Decimal | None, most: Decimal) -> None:
    """A deposit is for a part that is ordered for this one job, and never above the total. Raises Refused."""
    if not deposit:
        return
    if not has_special(lines):
        raise Refused(
            "A deposit is only for a special part, ordered for this one job. None is on the quote.",
            field="deposit",
        )
    if deposit > most:
        raise Refused(f"A deposit cannot be above the total of {most}.", field="deposit")


def has_special(lines: Sequence[dict[str, Any]]) -> bool:
    """Whether the repair itself, extras apart, takes a part that is ordered for one job."""
    own = [
        line["part"]
        for line in lines
        if line.get("part") and not line.get("extra") and line.get("choice", MEND) == MEND
    ]
    return Part.objects.filter(pk__in=own, special=True).exists()


def next_revision(order: Order) -> int:
    last = order.quotes.order_by("-revision").first()
    return last.revision + 1 if last is not None else 1


def valid_until(rates: Rates, head: Letterhead, at: dt.datetime) -> dt.datetime:
    """The end of the last day the quote stands, in the shop's zone, as a UTC moment."""
    zone = zoneinfo.ZoneInfo(head.zone)
    day = at.astimezone(zone).date() + dt.timedelta(days=rates.quote_days + 1)
    return dt.datetime.combine(day, dt.time(0, 0), zone).astimezone(dt.UTC) - dt.timedelta(seconds=1)


def short_parts(lines: list[dict[str, Any]]) -> list[str]:
    """A sentence for each part the bin is short of; only one of the choices will be done."""
    wanted: dict[int, int] = {}
    for choice in WORK:
        for part_id, pieces in _pieces(lines, choice).items():
            wanted[part_id] = max(wanted.get(part_id, 0), pieces)
    parts = Part.objects.in_bulk(list(wanted))
    return [
        f"{part.number} {part.name}: {wanted[pk]} wanted, {part.free} free in the bin."
        for pk, part in sorted(parts.items())
        if part.free < wanted[pk]
    ]


def _pieces(lines: list[dict[str, Any]], choice: str) -> Counter[int]:
    pieces: Counter[int] = Counter()
    for line in lines:
        if line.get("part") and line.get("choice", MEND) == choice:
            pieces[line["part"]] += int(Decimal(line.get("quantity") or "1"))
    return pieces
