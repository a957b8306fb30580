"""Station 80: paid, packed, posted; or wiped and recycled."""

import datetime as dt
import secrets
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.forms import Form

from intake.addressing import address_lines
from intake.cells import PROFILES, post_rule
from intake.models import Letterhead, Order, Person
from intake.money import quantize
from intake.stations import Outcome
from quotes.models import Rates
from shop.branches import at_station, quarantine, unrepaired
from shop.models import Parcel
from shop.returns import out
from shop.returns.carriers import check_tracking
from shop.returns.gate_rule import weight_doubt
from shop.traveller.bill import money_context
from shop.traveller.forms.goods_out import PackForm, WipeForm

FORM_ID = "pack"
FOR_THE_BOX = ("packing_slip", "return_label_100x150", "return_label_4x6", "return_label_a6")
LATELY = 30


def context(order: Order, *, person: Person, at: dt.datetime, forms: Mapping[str, Form]) -> dict[str, Any]:
    recycling = order.outcome == Outcome.RECYCLED
    shown = {
        **money_context(order, person=person, forms=forms),
        "gate": out.gate(order),
        "recycling": recycling,
        "outcome": order.outcome,
    }
    if recycling:
        return {
            **shown,
            "wipe_form": forms.get("wipe") or WipeForm(),
            **_signing("wipe", "Sign: wiped", "then it is closed"),
        }
    form = forms.get("pack") or pack_form(order, person)
    assert isinstance(form, PackForm)
    words = "Send it now" if form.review else "Look it over"
    shown |= at_station.recycling_at(order, forms)
    return {**shown, **_packing(order, form), **_signing(FORM_ID, words, "then it is on its way")}


def after_context(order: Order, *, person: Person, forms: Mapping[str, Form]) -> dict[str, Any]:
    """When it has left: what was packed, the papers of the box, and the money, which may still change."""
    return {
        **money_context(order, person=person, forms=forms),
        "parcel": Parcel.objects.filter(order=order).select_related("packed_by").first(),
        "labels": [
            paper for paper in order.papers.all() if paper.maker in FOR_THE_BOX and paper.gone_at is None
        ],
    }


def pack_form(order: Order, person: Person, data: Any = None) -> PackForm:
    """Empty, or bound to what was posted. The usual cost of post is the owner's to see."""
    return PackForm(
        data,
        contents=out.contents_to_pack(order),
        currency=order.currency,
        usual_cost=quantize(Rates.current().return_post_cost, order.currency) if person.is_owner else None,
        checks=unrepaired.checks_of(order.outcome),
        initial={"key": secrets.token_urlsafe(24), "carrier": _last_carrier()},
    )


def _last_carrier() -> str:
    last = Parcel.objects.order_by("-sent_at").values_list("carrier", flat=True).first()
    return last or ""


def _signing(form: str, words: str, note: str) -> dict[str, Any]:
    name = "sure" if words == "Send it now" else "sign"
    value = "yes" if name == "sure" else "80"
    return {
        "sign_form": form,
        "sign_words": words,
        "sign_note": note,
        "rail": {"keys": [], "sign": {"words": words, "form": form, "name": name, "value": value}},
    }


def _packing(order: Order, form: PackForm) -> dict[str, Any]:
    head = Letterhead.current()
    arrival = getattr(order, "arrival", None)
    return {
        "form": form,
        "address": address_lines(order.return_address, home=head.country) if order.return_address else (),
        "came_grams": arrival.weight_grams if arrival else None,
        "carriers": list(
            dict.fromkeys(Parcel.objects.order_by("-sent_at").values_list("carrier", flat=True)[:LATELY])
        ),
        "rule": post_rule_of(order, head),
        "profile": PROFILES.get(head.post_profile, PROFILES["plain"]),
        **(_review(form, arrival.weight_grams if arrival else None) if form.review else {}),
    }


def _review(form: PackForm, came_grams: int | None) -> dict[str, Any]:
    given = form.cleaned_data
    cost: Decimal | None = given["cost"]
    return {
        "given": given,
        "typed": [(name, value) for name in form.fields for value in form.data.getlist(name)],
        "weight_doubt": weight_doubt(given["weight_grams"], came_grams),
        "tracking_words": check_tracking(given["tracking"]).sentence,
        "cost": cost,
    }


def post_rule_of(order: Order, head: Letterhead) -> Any:
    """The post's rule for this parcel, by the cell as found at goods in and the shop's carrier profile."""
    cell = quarantine.cell_now(order)
    return post_rule(
        kind="none" if cell == "none" else "battery",
        condition="sound" if cell in ("sound", "none") else "damaged",
        carrier_profile=head.post_profile,
        international=bool(order.return_address and order.return_address.country != head.country),
    )
