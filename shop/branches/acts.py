"""Posts of the branches. Each leads back to the sheet."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_POST, require_safe

from intake.refusals import Refused
from shop.access import now, order_for_staff, person_of, staff_only
from shop.branches import comeback, copies, own_damage, quarantine, recycling, wrong_device
from shop.branches.forms import (
    CauseForm,
    CopyForm,
    CopyGoneForm,
    CoverForm,
    OwnDamageForm,
    RecycleInsteadForm,
)
from shop.branches.list_file import list_file
from shop.branches.slip_forms import QuarantineForm, WrongDeviceForm
from shop.traveller.acting import acted, seen_version, to_sheet


@require_POST
@staff_only
def data_copy(request: HttpRequest, code: str) -> HttpResponse:
    """What was copied, with its list."""
    order, at = order_for_staff(code), now()
    form = CopyForm(request.POST, request.FILES)

    def deed(given: dict[str, Any]) -> str:
        copied = copies.write_copy(
            order=order, copied=form.copied(), key=given["key"], by=person_of(request), at=at
        )
        return f"Written down: {copied.files} files. The customer gets the list when it is signed."

    return acted(request, order, form, deed, name="data_copy", at="copies")


@require_POST
@staff_only
def copy_gone(request: HttpRequest, code: str) -> HttpResponse:
    """The shop's own copy was deleted."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        copy = get_object_or_404(order.data_copies, pk=given["copy"])
        copies.delete_copy(copy=copy, how=given["how"], by=person_of(request), at=at)
        return "Written down: our copy is deleted. The customer is told."

    return acted(request, order, CopyGoneForm(request.POST), deed, name="copy_gone", at="copies")


@require_safe
@staff_only
def copy_list(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """The list of digests as a file, for the medium."""
    return list_file(get_object_or_404(order_for_staff(code).data_copies, pk=pk))


@require_POST
@staff_only
def cause(request: HttpRequest, code: str) -> HttpResponse:
    """Why it came back."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        key = given.pop("key")
        row = comeback.say_cause(
            order=order, said=comeback.Said(**given), key=key, by=person_of(request), at=at
        )
        return (
            "Written. We pay: it costs the customer nothing."
            if row.covered
            else "Written. It is not covered."
        )

    return acted(request, order, CauseForm(request.POST), deed, name="cause", at="comeback")


@require_POST
@staff_only
def cover(request: HttpRequest, code: str) -> HttpResponse:
    """The owner decides who pays."""
    order, at = order_for_staff(code), now()

    def deed(given: dict[str, Any]) -> str:
        comeback.overrule(
            order=order,
            is_covered=given["covered"] == "yes",
            why=given["why"],
            key=given["key"],
            by=person_of(request),
            at=at,
        )
        return "Written. It is decided against the rule, with your reason."

    return acted(request, order, CoverForm(request.POST), deed, name="cover", at="comeback")


@require_POST
@staff_only
def free(request: HttpRequest, code: str) -> HttpResponse:
    """Every price of a covered comeback at nought."""
    order = order_for_staff(code)
    try:
        comeback.offer_free(order=order, at=now())
    except Refused as refusal:
        return to_sheet(request, order, refusal.sentence, at="lines")
    return to_sheet(request, order, "Every price is nought.", at="lines")


@require_POST
@staff_only
def slip_of_wrong_device(request: HttpRequest, code: str) -> HttpResponse:
    """How a wrong device ended."""
    order, at = order_for_staff(code), now()
    form = WrongDeviceForm(request.POST)

    def deed(given: dict[str, Any]) -> str:
        wrong_device.end_wrong_device(
            order=order, seen_version=seen_version(request), ended=form.ended(), by=person_of(request), at=at
        )
        return "The slip is off. The customer is told."

    return acted(request, order, form, deed, name="wrong_device")


@require_POST
@staff_only
def slip_of_battery(request: HttpRequest, code: str) -> HttpResponse:
    """How a quarantine ended."""
    order, at = order_for_staff(code), now()
    form = QuarantineForm(request.POST)

    def deed(given: dict[str, Any]) -> str:
        quarantine.end_quarantine(
            order=order, seen_version=seen_version(request), dealt=form.dealt(), by=person_of(request), at=at
        )
        return "The slip is off."

    return acted(request, order, form, deed, name="battery")


@require_POST
@staff_only
def damaged(request: HttpRequest, code: str) -> HttpResponse:
    """Our own damage."""
    order, at = order_for_staff(code), now()
    form = OwnDamageForm(request.POST, currency=order.currency)

    def deed(given: dict[str, Any]) -> str:
        own_damage.own_damage(
            order=order,
            seen_version=seen_version(request),
            harm=form.harm(),
            key=given["key"],
            by=person_of(request),
            at=at,
        )
        return "Signed as our own damage. The customer is told; nothing is billed."

    return acted(request, order, form, deed, name="own_damage", at="here")


@require_POST
@staff_only
def recycled_instead(request: HttpRequest, code: str) -> HttpResponse:
    """Recycled after all, with the customer's word."""
    order, at = order_for_staff(code), now()
    form = RecycleInsteadForm(request.POST)

    def deed(given: dict[str, Any]) -> str:
        recycling.recycle_instead(
            order=order,
            seen_version=seen_version(request),
            consent=given["consent"],
            method=form.method(),
            by=person_of(request),
            at=at,
        )
        return "Wiped and closed. The customer is told."

    return acted(request, order, form, deed, name="recycle_instead", at="here")
