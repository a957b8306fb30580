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
    """The ticked photos are the customer's to see, no others."""
    order = order_for_staff(code)
    ticked = [int(text) for text in request.POST.getlist("shown") if text.isdecimal() and len(text) < 19]
    own = list(order.photos.filter(pk__in=ticked).values_list("pk", flat=True))
    album.show_to_customer(order=order, photo_ids=own, by=person_of(request).username, at=now())
    return to_sheet(request, order, "The customer sees the ticked photos.", at="photos")


@require_safe
@staff_only
def photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    """The picture, or with ?px=320 a small one."""
    row = get_object_or_404(Photo, pk=photo_id, order__isnull=False)
    try:
        jpeg = album.photo_bytes(row)
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
