"""What a quote shows: one plain dictionary that page, letter and paper all read, and whose digest is decided on."""

import datetime as dt
from typing import Any

from intake.models import Letterhead, Order
from quotes.models import Finding, QuoteDraft, Rates
from quotes.pricing import Choices, Priced

RECYCLE_WORDS = (
    "We wipe what can be wiped, destroy the storage if it cannot be, and hand the rest to a recycler. "
    "Nothing comes back to you."
)


def shown_of(
    *,
    order: Order,
    finding: Finding,
    draft: QuoteDraft,
    priced: Priced,
    options: Choices,
    rates: Rates,
    head: Letterhead,
    revision: int,
    valid_until: dt.datetime,
    agreed_before: bool,
) -> dict[str, Any]:
    """Everything the customer decides on; amounts as text, moments as ISO 8601 in UTC."""
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
        **_money(priced, rates),
        "choices": _choices(options, agreed_before),
        "no_fix": {
            "total": str(options.no_fix.total),
            "made_of": options.no_fix.why,
            "words": head.no_fix_words,
        },
        "promise": draft.promise.isoformat() if draft.promise else "",
        "valid_until": valid_until.isoformat(),
        "warranty_days": rates.warranty_days,
        **_words(head),
        "photos": _photos(order),
    }


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
        "lines": [
            {
                "kind": line.kind,
                "text": line.text,
                "quantity": str(line.quantity),
                "amount": str(line.gross if rates.tax_inclusive else line.net),
                "still_charged": line.still_charged and line.kind != "post",
            }
            for line in priced.lines
        ],
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


def _choices(options: Choices, agreed_before: bool) -> list[dict[str, str]]:
    mend = {"choice": "mend", "label": "Mend it", "total": str(options.mend.total), "words": ""}
    if agreed_before:
        return [
            {**mend, "label": "Mend both faults"},
            {
                "choice": "first",
                "label": "Finish only the first job",
                "total": "",
                "words": "Your first agreement stands, at its price.",
            },
        ]
    return [
        mend,
        {
            "choice": "back",
            "label": "Send it back as it is",
            "total": str(options.back.total),
            "words": options.back.why,
        },
        {
            "choice": "recycle",
            "label": "Recycle it",
            "total": str(options.recycle.total),
            "words": RECYCLE_WORDS,
        },
    ]
