"""What a quote shows: one plain dictionary that page, letter and paper all read, and whose digest is decided on."""

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from intake.cells import judge_cell
from intake.models import Arrival, Letterhead, Order
from intake.money import quantize
from quotes import choice_words
from quotes.choice_sums import MEND, Sums
from quotes.models import Finding, QuoteDraft, Rates
from quotes.pricing import Line, Priced
from quotes.revisions import changes_since, former

RECYCLE_WORDS = choice_words.RECYCLE
NO_CELL = "Without its battery: a damaged one may not go by ordinary post."


def shown_of(
    *,
    order: Order,
    finding: Finding,
    draft: QuoteDraft,
    sums: Mapping[str, Sums],
    rates: Rates,
    head: Letterhead,
    revision: int,
    valid_until: dt.datetime,
    agreed_before: bool,
) -> dict[str, Any]:
    """Everything the customer decides on; amounts as text, moments as ISO 8601 in UTC. `sums` are of what is offered."""
    mend, before = sums[MEND], former(order)
    return {
        "order": order.code,
        "revision": revision,
        "device": order.device.what,
        "finding": {
            "id": finding.pk,
            "words": finding.words,
            "idea": order.idea,
            "idea_answer": finding.idea_answer,
            "idea_words": finding.idea_words,
        },
        "words": draft.words,
        **_money(mend.priced, rates),
        "choices": _choices(draft, sums, rates, head, agreed_before=agreed_before, suspect=_suspect(order)),
        "extras": _extras(draft, sums),
        "deposit": _deposit(draft, order.currency),
        "no_fix": {
            "total": str(mend.ends.no_fix.total),
            "made_of": mend.ends.no_fix.why,
            "words": head.no_fix_words,
        },
        "promise": draft.promise.isoformat() if draft.promise else "",
        "valid_until": valid_until.isoformat(),
        "warranty_days": warranty_days(MEND, draft.choices.get(MEND, {}), rates),
        "replaces": before.revision if before else 0,
        "changes": changes_since(before, mend.priced, inclusive=rates.tax_inclusive) if before else [],
        **_words(head),
        "photos": _photos(order),
    }


def _suspect(order: Order) -> bool:
    """Whether the battery that came in may not be posted."""
    arrival = Arrival.objects.filter(order=order).first()
    return arrival is not None and judge_cell(arrival.cell_state).quarantine


def _photos(order: Order) -> list[str]:
    chosen = order.photos.filter(shown=True, role__in=["fault", "before"])
    return list(chosen.values_list("sha256", flat=True))


def _words(head: Letterhead) -> dict[str, Any]:
    return {
        "warranty_words": head.warranty_words,
        "withdrawal_words": head.withdrawal_words,
        "terms_version": head.version,
    }


def _money(priced: Priced, rates: Rates) -> dict[str, Any]:
    return {
        "currency": priced.currency,
        "lines": [_line(line, rates) for line in priced.lines],
        "taxes": [
            {"name": group.name, "rate": str(group.rate), "base": str(group.base), "tax": str(group.tax)}
            for group in priced.tax_groups
            if group.tax
        ],
        "tax_inclusive": rates.tax_inclusive,
        "net": str(priced.net),
        "tax": str(priced.tax),
        "total": str(priced.total),
    }


def _line(line: Line, rates: Rates) -> dict[str, Any]:
    return {
        "kind": line.kind,
        "text": line.text,
        "quantity": str(line.quantity),
        "amount": str(line.gross if rates.tax_inclusive else line.net),
        "still_charged": line.still_charged and line.kind != "post",
    }


def _choices(
    draft: QuoteDraft,
    sums: Mapping[str, Sums],
    rates: Rates,
    head: Letterhead,
    *,
    agreed_before: bool,
    suspect: bool,
) -> list[dict[str, Any]]:
    work = [_work(draft, sums[name], rates, head) for name in sums]
    if agreed_before:
        both = {**work[0], "label": "Mend both faults"}
        return [both, _plain("first", total=None, words=choice_words.FIRST)]
    ends = sums[MEND].ends
    return [
        *work,
        _plain(
            "back", total=ends.back.total, words=f"{ends.back.why} {NO_CELL}" if suspect else ends.back.why
        ),
        _plain("recycle", total=ends.recycle.total, words=RECYCLE_WORDS),
    ]


def _plain(name: str, *, total: Decimal | None, words: str) -> dict[str, Any]:
    return {
        "choice": name,
        "label": choice_words.LABELS[name],
        "total": "" if total is None else str(total),
        "words": words,
        "data_words": choice_words.DATA_WORDS[name],
    }


def _work(draft: QuoteDraft, sums: Sums, rates: Rates, head: Letterhead) -> dict[str, Any]:
    given, priced = draft.choices.get(sums.choice, {}), sums.priced
    said = choice_words.words_of(sums.choice, given, no_fix_words=head.no_fix_words)
    mend = draft.promise.isoformat() if draft.promise else ""
    return {
        "choice": sums.choice,
        "label": said.label,
        "total": str(priced.total),
        "words": "",
        "net": str(priced.net),
        "tax": str(priced.tax),
        "lines": [{**_line(row.line, rates), "extra": row.extra} for row in sums.lines],
        "taxes": [
            {
                "name": group.name,
                "rate": str(group.rate),
                "category": group.category,
                "reason": group.reason,
                "base": str(group.base),
                "tax": str(group.tax),
            }
            for group in priced.tax_groups
            if group.tax or group.reason
        ],
        "promise": mend if sums.choice == MEND else given.get("promise") or mend,
        "warranty_days": warranty_days(sums.choice, given, rates),
        "chance": said.chance,
        "data_words": said.data_words,
        "fails_words": said.fails_words,
        "no_fix_total": str(sums.ends.no_fix.total),
        "totals": {key: str(total) for key, total in sums.totals.items()},
    }


def warranty_days(choice: str, given: Mapping[str, Any], rates: Rates) -> int:
    """The days of the draft; else those of the rates for a repair, and none for what promises nothing."""
    typed = given.get("warranty_days")
    if typed not in (None, ""):
        return int(typed)
    return rates.warranty_days if choice == MEND else 0


def _extras(draft: QuoteDraft, sums: Mapping[str, Sums]) -> list[dict[str, Any]]:
    names = extra_names(draft.lines)
    found = []
    for key in sorted(names):
        having = [name for name, row in sums.items() if key in row.totals]
        if having:
            amounts = {name: str(sums[name].more(key)) for name in having}
            found.append({"key": key, "text": names[key], "choices": having, "amounts": amounts})
    return found


def extra_names(lines: list[dict[str, Any]]) -> dict[str, str]:
    """The optional extras of a draft: key to the text that names it."""
    names: dict[str, str] = {}
    for line in lines:
        if line.get("extra"):
            names.setdefault(line["extra"], line.get("extra_text") or line.get("text") or "Extra")
    return names


def _deposit(draft: QuoteDraft, currency: str) -> dict[str, str] | None:
    if not draft.deposit:
        return None
    return {
        "amount": str(quantize(draft.deposit, currency)),
        "words": draft.deposit_words or choice_words.DEPOSIT,
    }
