"""Station 40 beyond the common quote: further choices and what each comes to, a deposit, surcharges."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.forms import Form
from django.utils import timezone

from intake.models import Order
from quotes.choice_words import LABELS
from quotes.drafts import Preview, has_special
from quotes.models import QuoteDraft, Surcharge
from shop.traveller.forms.choices import DepositForm, OfferForm, SurchargeForm, typed


def further(
    order: Order,
    draft: QuoteDraft,
    worked: Preview | None,
    forms: Mapping[str, Form],
    at: dt.datetime,
    *,
    mid_repair: bool,
) -> dict[str, Any]:
    """Forms and sums of what most quotes have none of. Mid-repair there is only the whole of it."""
    money: dict[str, Any] = {"currency": order.currency}
    offer = forms.get("offer") or OfferForm(
        **money,
        today=timezone.localdate(at),
        only_mend=mid_repair,
        initial={**typed(draft.choices), "draft": draft.version},
    )
    assert isinstance(offer, OfferForm)
    deposit = {"deposit": draft.deposit or "", "deposit_words": draft.deposit_words, "draft": draft.version}
    return {
        "offer_form": offer,
        "offer_sections": [(LABELS[name], fields) for name, fields in offer.sections()],
        "choice_sums": _sums(worked) if worked else [],
        "special": bool(draft.deposit) or has_special(draft.lines) or "deposit" in forms,
        "deposit_form": forms.get("deposit") or DepositForm(**money, initial=deposit),
        "surcharge_form": forms.get("surcharge") or SurchargeForm(**money, initial={"draft": draft.version}),
        "surcharges": list(Surcharge.objects.filter(active=True)),
    }


def _sums(worked: Preview) -> list[dict[str, Any]]:
    """What each choice of work comes to, and what each extra adds; only where there is more than the plain repair."""
    named = {extra["key"]: extra["text"] for extra in worked.shown["extras"]}
    if len(worked.offered) == 1 and not named:
        return []
    return [
        {
            "label": LABELS[name],
            "total": worked.sums[name].priced.total,
            "no_fix": worked.sums[name].ends.no_fix.total,
            "extras": [
                (text, worked.sums[name].more(key))
                for key, text in named.items()
                if key in worked.sums[name].totals
            ],
        }
        for name in worked.offered
    ]
