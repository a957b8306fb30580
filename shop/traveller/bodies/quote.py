"""Station 40: what it costs."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.forms import Form
from django.utils import timezone

from intake.models import Order, Person
from intake.stations import Station
from quotes import decisions
from quotes.drafts import Preview, draft_of
from quotes.explained import not_explained
from quotes.models import Part, QuoteDraft, Rates, Remedy
from shop.bench import kept_text
from shop.branches import at_station
from shop.traveller.bodies.further import further
from shop.traveller.draft_rows import rows_of, steps_of
from shop.traveller.forms.quote import OtherForm, PartForm, RemedyForm, WordsForm
from shop.traveller.quoting import as_shown, limit_words, moved_words, worked_out

# Numbers beyond these can still be scanned and typed; the list is only a help.
MOST_LISTED = 500


def context(order: Order, *, person: Person, at: dt.datetime, forms: Mapping[str, Form]) -> dict[str, Any]:
    """Left what was found, right the lines; the total, the words, and what the customer would see."""
    draft = draft_of(order, at=at)
    worked, wrong = worked_out(draft, at=at)
    agreed = decisions.agreed_quote(order)
    return {
        "draft": draft,
        "finding": order.findings.order_by("-at", "-id").first(),
        "not_explained": not_explained(order),
        "agreed": agreed,
        "rows": rows_of(order, draft, worked, person=person, forms=forms),
        "worked": worked,
        "wrong": wrong,
        "missing": worked.missing if worked and len(draft.lines) > 1 else [],
        "moved_words": moved_words(order, draft, worked) if worked else "",
        "steps": steps_of(order, worked, person=person) if worked else [],
        **further(order, draft, worked, forms, at, mid_repair=agreed is not None),
        "limit_words": limit_words(order, worked) if worked else "",
        "short_parts": worked.short_parts if worked else [],
        "send_form": forms.get("send"),
        "again_form": forms.get("again"),
        **(as_shown(order, draft, worked, at=at) if worked else {}),
        **(_for_the_owner(worked) if worked and person.is_owner else {}),
        **_forms(order, draft, forms, at, further=len(worked.offered) > 1 if worked else False),
        **_lists(),
        **at_station.comeback_at(order, person, forms),
        "sign_form": "words",
        "sign_words": "Look it over",
        "sign_note": "then send, on to 50",
        "rail": {
            "keys": [
                {"words": "Remedy", "key": "F2", "target": "remedy_remedy"},
                {"words": "Part", "key": "F4", "target": "part_part"},
            ],
            "sign": {"words": "Look it over, then send", "form": "words"},
        },
    }


def signed_context(order: Order, *, person: Person) -> dict[str, Any]:
    """Every revision that was sent, with how it ended."""
    return {"quotes": list(order.quotes.select_related("end", "sent_by").order_by("revision"))}


def _forms(
    order: Order, draft: QuoteDraft, forms: Mapping[str, Form], at: dt.datetime, *, further: bool
) -> dict[str, Any]:
    money: dict[str, Any] = {
        "currency": order.currency,
        "initial": {"draft": draft.version},
        "further": further,
    }
    kept = None if "words" in forms else kept_text.kept(order, Station.QUOTE)
    said = {"words": draft.words, "promise": draft.promise, **(kept.fields if kept else {})}
    return {
        "remedy_form": forms.get("remedy") or RemedyForm(**money),
        "part_form": forms.get("part") or PartForm(**money),
        "other_form": forms.get("other") or OtherForm(**money),
        "words_form": forms.get("words")
        or WordsForm(
            currency=order.currency,
            today=timezone.localdate(at),
            initial={**said, "draft": draft.version},
        ),
        "kept_at": kept.changed_at if kept else None,
    }


def _lists() -> dict[str, Any]:
    return {
        "remedies": list(Remedy.objects.filter(active=True)),
        "parts": list(Part.objects.filter(active=True)[:MOST_LISTED]),
        "rush_fee": Rates.current().rush_fee,
    }


def _for_the_owner(worked: Preview) -> dict[str, Any]:
    """What the shop spends and keeps; left out of the page altogether for anybody else."""
    return {
        "shop_sums": {
            "cost": worked.priced.shop_cost,
            "margin": worked.priced.margin,
            "cash_margin": worked.priced.cash_margin,
            "minutes": int(worked.priced.minutes),
            "no_fix_loss": worked.priced.shop_cost - worked.choices.no_fix.net,
        }
    }
