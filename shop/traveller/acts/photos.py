"""Photos: put on the sheet, shown to the customer or not, and served to staff."""

import datetime as dt
from collections.abc import Iterable
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from django.views.decorators.http import require_POST, require_safe

from intake import album, pictures
from intake.models import Order, Photo
from intake.refusals import Refused
from shop.access import now, order_for_staff, person_of, staff_only
from shop.pictures import choosing, marked
from shop.traveller.acting import acted, to_sheet
from shop.traveller.forms.beside import PhotoForm

SMALL_SIZES = {"320", "640"}


def keep_photos(
    order: Order, files: Iterable[UploadedFile], *, role: str, by: str, at: dt.datetime, **more: Any
) -> int:
    """Keep each file as a photo of that role; returns how many. Raises Refused, naming the file, at the first bad one."""
    kept = 0
    for file in files:
        try:
            album.add_photo(content=file.read(), role=role, by=by, at=at, order=order, **more)
        except Refused as refusal:
            already = f" {kept} before it are kept." if kept else ""
            raise Refused(f"{file.name}: {refusal.sentence}{already}", field=refusal.field) from refusal
        kept += 1
    return kept


@require_POST
@staff_only
def add(request: HttpRequest, code: str) -> HttpResponse:
    order, at = order_for_staff(code), now()
    form: Form = PhotoForm(request.POST, request.FILES, prefix="photo")

    def deed(given: dict[str, Any]) -> str:
        kept = keep_photos(
            order,
            [*given["camera"], *given["photos"]],
            role=given["role"],
            by=person_of(request).username,
            at=at,
            caption=given["caption"],
            shown=given["shown"],
        )
        return "The photo is on the sheet." if kept == 1 else f"{kept} photos are on the sheet."

    return acted(request, order, form, deed, name="photo", at="photos")


@require_POST
@staff_only
def show(request: HttpRequest, code: str) -> HttpResponse:
    """Ticks set or taken away since the page was drawn (`was`); what another page changed meanwhile stays."""
    order, at, by = order_for_staff(code), now(), person_of(request)
    own = {photo.pk: photo for photo in order.photos.exclude(role=Photo.Role.CUSTOMER)}
    ticked = _numbers(request.POST.getlist("shown")) & set(own)
    known = "was" in request.POST
    was = _numbers(request.POST.getlist("was")) if known else {pk for pk, row in own.items() if row.shown}
    for pk in sorted(ticked - was):
        choosing.show_one(photo=own[pk], by=by, at=at)
    for pk in sorted((was - ticked) & set(own)):
        choosing.hide_one(photo=own[pk], by=by, at=at)
    return to_sheet(request, order, "The customer sees the ticked photos.", at="photos")


def _numbers(texts: list[str]) -> set[int]:
    return {int(text) for text in texts if text.isdecimal() and len(text) < 19}


@require_safe
@staff_only
def photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    """The picture as it was kept, or with ?marked=1 its copy with the marks; with ?px=320 a small one."""
    row = get_object_or_404(Photo, pk=photo_id, order__isnull=False)
    try:
        jpeg = marked.bytes_of(row) if "marked" in request.GET else album.photo_bytes(row)
    except OSError as fault:
        raise Http404("The file of this photo cannot be read.") from fault
    if (size := request.GET.get("px", "")) in SMALL_SIZES:
        jpeg = pictures.thumbnail(jpeg, int(size))
    return _served(jpeg)


def _served(jpeg: bytes) -> HttpResponse:
    """Uploads are never pages: a fixed type, no guessing, no rights, no cache that others share."""
    answer = HttpResponse(jpeg, content_type="image/jpeg")
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    answer.headers["Cache-Control"] = "private, no-store"
    answer.content_policy = {"sandbox": ""}  # type: ignore[attr-defined]  # read by shop.guard
    return answer


urlpatterns: list[URLPattern] = [
    path("sheet/<code:code>/photos/", add, name="add_photos"),
    path("sheet/<code:code>/photos/shown/", show, name="show_photos"),
    path("photo/<int:photo_id>/", photo, name="photo"),
]
