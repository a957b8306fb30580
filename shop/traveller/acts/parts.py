"""Posts at 60 about parts: taken by part or lot, put back, written off; and steps taken into a remedy."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST

from intake.models import Order
from intake.refusals import Refused
from quotes.models import Move
from quotes.part_words import named_as
from shop.access import now, order_for_staff, person_of, staff_only
from shop.bench import own_steps, repair
from shop.bench.spoiling import is_bad_on_arrival
from shop.traveller.acting import acted, to_sheet
from shop.traveller.forms.parts import SpoilFittedForm, TakePartForm

UNTOLD = " The quote does not say that it is not new. Tell the customer before you go on."


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 19 else 0


@require_POST
@staff_only
def take_part(request: HttpRequest, code: str) -> HttpResponse:
    """One part from its bin or lot: fitted, or spoiled."""
    order, at = order_for_staff(code), now()
    form = TakePartForm(request.POST)

    def deed(given: dict[str, Any]) -> str:
        spoiled = bool(given["spoiled"])
        move = repair.use_part(
            order=order,
            part=form.part,
            quantity=given["quantity"],
            key=given["key"],
            by=person_of(request),
            at=at,
            spoiled=spoiled,
            why=given["why"] if spoiled else "",
            lot=form.lot_row,
        )
        return _taken(order, move)

    return acted(request, order, form, deed, name="take_part", at="parts")


def _taken(order: Order, move: Move) -> str:
    """What was done, from which lot, and what follows from it."""
    part = named_as(move.part.number, move.part.get_condition_display())
    done = "written off as spoiled" if move.kind == Move.Kind.SPOIL else "fitted"
    lot = f", lot {move.lot.number}" if move.lot else ""
    said = f"{part} {done}: {-move.on_hand_change}{lot}."
    if move.kind == Move.Kind.SPOIL and move.lot and is_bad_on_arrival(move.why):
        return f"{said} Look at the rest of the lot; stop it if a sample fails."
    if move.kind == Move.Kind.SPOIL:
        return said
    on_board, named = repair.beyond_agreed(order, move.part)
    if named and on_board > named:
        said += f" That makes {on_board}, and the quote names {named}. Put one back if it was a mistake."
    return said + (UNTOLD if repair.untold(order, move.part) else "")


@require_POST
@staff_only
def put_back(request: HttpRequest, code: str) -> HttpResponse:
    """A part that was fitted by mistake."""
    order, at = order_for_staff(code), now()
    move = get_object_or_404(order.moves, pk=_number(request.POST.get("move", "")))
    try:
        repair.put_back(move=move, by=person_of(request), at=at)
    except Refused as refusal:
        return to_sheet(request, order, refusal.sentence, at="parts")
    return to_sheet(request, order, f"{move.part.number} is back in its bin.", at="parts")


@require_POST
@staff_only
def spoil_fitted(request: HttpRequest, code: str) -> HttpResponse:
    """A fitted part that came off again and is no good."""
    order, at = order_for_staff(code), now()
    form = SpoilFittedForm(request.POST, auto_id=f"spoil-{_number(request.POST.get('move', ''))}_%s")

    def deed(given: dict[str, Any]) -> str:
        move = get_object_or_404(order.moves, pk=given["move"])
        spoiled = repair.spoil_fitted(
            move=move, why=given["why"], key=given["key"], by=person_of(request), at=at
        )
        return _taken(order, spoiled)

    return acted(request, order, form, deed, name="spoil_fitted", at="parts")


@require_POST
@staff_only
def parts_came(request: HttpRequest, code: str) -> HttpResponse:
    """Looks into the bins again; the slip comes off when nothing is short."""
    order, at = order_for_staff(code), now()
    try:
        missing = repair.parts_came(order=order, by=person_of(request), at=at)
    except Refused as refusal:
        return to_sheet(request, order, refusal.sentence, at="parts")
    said = f"Still short. {' '.join(missing)}" if missing else "All parts are put aside. It can go on."
    return to_sheet(request, order, said, at="parts")


@require_POST
@staff_only
def step_into_remedy(request: HttpRequest, code: str) -> HttpResponse:
    """A step of one's own joins the list of an agreed remedy."""
    order, at = order_for_staff(code), now()
    step = get_object_or_404(order.steps, pk=_number(request.POST.get("step", "")))
    remedies = {row.pk: row for row in own_steps.remedies_of(order)}
    remedy = remedies.get(_number(request.POST.get("remedy", "")))
    if remedy is None:
        return to_sheet(request, order, "That remedy is not agreed on this sheet.", at="steps")
    try:
        row = own_steps.take_into_remedy(step=step, remedy=remedy, by=person_of(request), at=at)
    except Refused as refusal:
        return to_sheet(request, order, refusal.sentence, at="steps")
    return to_sheet(request, order, f"{row.name} lists it from now on.", at="steps")


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/repair/part/", take_part, name="take_part"),
    path("sheet/<code:code>/repair/back/", put_back, name="put_back"),
    path("sheet/<code:code>/repair/spoiled/", spoil_fitted, name="spoil_fitted"),
    path("sheet/<code:code>/repair/parts-came/", parts_came, name="parts_came"),
    path("sheet/<code:code>/repair/step-into-remedy/", step_into_remedy, name="step_into_remedy"),
]
