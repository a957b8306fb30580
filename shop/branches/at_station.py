"""What the pages of the branches show, and their forms, by the place on the sheet."""

import secrets
from collections.abc import Mapping
from typing import Any

from django.forms import Form

from intake.models import Order, Person
from intake.stations import SlipReason, Station
from shop.branches import comeback
from shop.branches.forms import (
    CauseForm,
    CopyForm,
    CopyGoneForm,
    CoverForm,
    OwnDamageForm,
    RecycleInsteadForm,
)
from shop.branches.recycling import MAY_STAY
from shop.branches.slip_forms import QuarantineForm, WrongDeviceForm, serial_read
from shop.models import ComebackCause

Forms = Mapping[str, Form]


def new_key() -> str:
    return secrets.token_urlsafe(24)


def ends_at_bench(order: Order, forms: Forms) -> dict[str, Any]:
    """For 30, 60 and 70: own damage."""
    form = forms.get("own_damage") or OwnDamageForm(currency=order.currency, initial={"key": new_key()})
    return {"own_damage_form": form}


def copies_beside(order: Order, forms: Forms) -> dict[str, Any]:
    """Keys: copies, copy_form (at 60 and 70), gone_form (bound where it was refused), data_wanted."""
    may_copy = order.station in (Station.REPAIR, Station.TEST)
    form = forms.get("data_copy") or (CopyForm(initial={"key": new_key()}) if may_copy else None)
    copies = list(order.data_copies.select_related("by", "deleted_by"))
    return {
        "copies": [{"copy": copy, "form": _gone_form(copy.pk, order, forms)} for copy in copies],
        "copy_form": form if may_copy else None,
    }


def _gone_form(pk: int, order: Order, forms: Forms) -> Form | None:
    if order.station < Station.GOODS_OUT:
        return None
    bound = forms.get("copy_gone")
    if bound is not None and str(bound["copy"].value()) == str(pk):
        return bound
    return CopyGoneForm(initial={"copy": pk}, auto_id=f"gone_{pk}_%s")


def comeback_at(order: Order, person: Person, forms: Forms) -> dict[str, Any]:
    """Keys: comeback (None where it is none): causes, newest, rule, form, cover_form, lots, here."""
    if order.comeback_of_id is None:
        return {"comeback": None}
    causes = list(order.comeback_causes.select_related("lot", "by"))
    here = order.station == Station.DIAGNOSIS
    newest: ComebackCause | None = causes[-1] if causes else None
    may_overrule = here and person.is_owner and newest is not None
    return {
        "comeback": {
            "before": order.comeback_of,
            "causes": causes,
            "newest": newest,
            "rule": comeback.rule_of(order, newest.cause if newest else ComebackCause.Cause.SAME),
            "form": _cause_form(forms) if here else None,
            "cover_form": _cover_form(newest, forms) if may_overrule and newest else None,
            "lots": comeback.lots_before(order) if here else [],
        }
    }


def _cause_form(forms: Forms) -> Form:
    return forms.get("cause") or CauseForm(initial={"key": new_key()})


def _cover_form(newest: ComebackCause, forms: Forms) -> Form:
    other = "no" if newest.covered else "yes"
    return forms.get("cover") or CoverForm(initial={"key": new_key(), "covered": other})


def slip_forms(order: Order, forms: Forms) -> dict[str, Any]:
    """Forms that end the two slips which need more than a word."""
    open_ = {slip.reason for slip in order.slips.all() if slip.ended_at is None}
    found: dict[str, Any] = {}
    if SlipReason.WRONG_DEVICE in open_:
        read = {"serial": serial_read(order)}
        found["wrong_device_form"] = forms.get("wrong_device") or WrongDeviceForm(initial=read)
    if SlipReason.QUARANTINE in open_:
        found["battery_form"] = forms.get("battery") or QuarantineForm()
    return found


def recycling_at(order: Order, forms: Forms) -> dict[str, Any]:
    """At 80: recycled after all; None where that is not for this outcome."""
    may = order.station == Station.GOODS_OUT and order.outcome in MAY_STAY
    return {"instead_form": (forms.get("recycle_instead") or RecycleInsteadForm()) if may else None}
