"""One photo with its marks, all photos of an order, and what can be done with each."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from intake.models import Order, Photo
from intake.refusals import Refused
from shop.access import now, order_for_staff, person_of, staff_only
from shop.pictures import choosing, marks
from shop.pictures.forms import DescribeForm, MarkForm
from shop.pictures.page import photo_of, render_photo
from shop.pictures.seen import seen


def to_photo(order: Order, photo: Photo, place: str = "") -> HttpResponse:
    """Back to the photo's page (303)."""
    address = reverse("shop:picture", args=[order.code, photo.pk])
    return HttpResponseRedirect(f"{address}#{place}" if place else address, status=303)


@require_safe
@staff_only
def all_photos(request: HttpRequest, code: str) -> HttpResponse:
    """Every photo on the sheet, with a switch each for the customer."""
    order = order_for_staff(code)
    photos = seen(order.photos.all(), readings=True)
    return render(request, "shop/pictures/photos.html", {"order": order, "photos": photos})


@require_safe
@staff_only
def one(request: HttpRequest, code: str, photo_id: int) -> HttpResponse:
    order, photo = photo_of(code, photo_id)
    return render_photo(request, order, photo)


@require_POST
@staff_only
def mark(request: HttpRequest, code: str, photo_id: int) -> HttpResponse:
    """Draw a ring, an arrow or a number."""
    order, photo = photo_of(code, photo_id)
    form = MarkForm(request.POST, order=order)
    if form.is_valid():
        reading = form.cleaned_data["reading"]
        words = form.cleaned_data["words"] or (reading.point if reading else "")
        said = marks.Said(words=words, reading=reading)
        key = f"{photo.pk}:{form.cleaned_data['key']}"[:64]
        try:
            marks.add(photo=photo, mark=form.mark(), said=said, key=key, by=person_of(request), at=now())
            return to_photo(order, photo, "place")
        except Refused as refusal:
            form.add_error(refusal.field or None, refusal.sentence)
    return render_photo(request, order, photo, mark_form=form, status=422)


@require_POST
@staff_only
def mark_off(request: HttpRequest, code: str, photo_id: int, mark_id: int) -> HttpResponse:
    order, photo = photo_of(code, photo_id)
    try:
        marks.remove(photo=photo, mark_id=mark_id, by=person_of(request), at=now())
        messages.success(request, "The mark is off. It can be put back below.")
    except Refused as refusal:
        messages.error(request, refusal.sentence)
    return to_photo(order, photo, "marks")


@require_POST
@staff_only
def mark_back(request: HttpRequest, code: str, photo_id: int, mark_id: int) -> HttpResponse:
    order, photo = photo_of(code, photo_id)
    try:
        marks.put_back(photo=photo, mark_id=mark_id, by=person_of(request), at=now())
        messages.success(request, "The mark is on the photo again.")
    except Refused as refusal:
        messages.error(request, refusal.sentence)
    return to_photo(order, photo, "marks")


@require_POST
@staff_only
def describe(request: HttpRequest, code: str, photo_id: int) -> HttpResponse:
    """Correct the role and the caption."""
    order, photo = photo_of(code, photo_id)
    form = DescribeForm(request.POST, photo=photo)
    if form.is_valid():
        try:
            choosing.describe(photo=photo, **form.cleaned_data, by=person_of(request), at=now())
            messages.success(request, "The photo says so now.")
            return to_photo(order, photo)
        except Refused as refusal:
            form.add_error(refusal.field or None, refusal.sentence)
    return render_photo(request, order, photo, describe_form=form, status=422)


@require_POST
@staff_only
def for_customer(request: HttpRequest, code: str, photo_id: int) -> HttpResponse:
    """Show this one photo to the customer, or hide it; no other one changes."""
    order, photo = photo_of(code, photo_id)
    show = request.POST.get("do") == "show"
    try:
        (choosing.show_one if show else choosing.hide_one)(photo=photo, by=person_of(request), at=now())
        messages.success(request, "The customer sees it now." if show else "The customer no longer sees it.")
    except Refused as refusal:
        messages.error(request, refusal.sentence)
    if request.POST.get("back") == "photos":
        return HttpResponseRedirect(
            reverse("shop:pictures", args=[order.code]) + f"#photo-{photo.pk}", status=303
        )
    return to_photo(order, photo, "customer")
