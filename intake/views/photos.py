"""Photos in a request that is not sent yet: each is judged by itself, and a good one is kept whatever the others are."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from intake import album, pictures, visits
from intake.forms.wishes import PhotosForm
from intake.models import Photo
from intake.refusals import Refused
from intake.views.visit import Visit, with_visit

BIGGEST = pictures.LIMITS.max_bytes
THUMBNAIL = (64, 2400)
FULL = (
    f"{visits.BYTES_A_DAY // 1_000_000} MB of photos came from your connection today, and that is the most we take. "
    "Send the rest tomorrow, or go on without them."
)


def taken(visit: Visit, form: PhotosForm, act: str) -> HttpResponse | None:
    """Keep or remove photos. None where the page may be left; faults are put on the form."""
    if visit.draft is None:
        raise TypeError("photos are kept in a draft")
    if act.startswith("remove-"):
        number = act.removeprefix("remove-")
        if number.isascii() and number.isdigit() and len(number) < 19:
            album.remove_from_draft(draft=visit.draft, photo_id=int(number))
            messages.info(visit.request, "The photo is removed.")
        return visit.to_step("photos")
    kept = _keep_each(visit, form)
    if act == "add" and not form.errors:
        messages.info(
            visit.request, "The photos are kept." if kept else "Choose photos first, then press Add."
        )
        return visit.to_step("photos")
    return None


def _keep_each(visit: Visit, form: PhotosForm) -> int:
    if visit.draft is None:
        raise TypeError("photos are kept in a draft")
    kept = 0
    form.is_valid()
    for upload in visit.request.FILES.getlist("photos"):
        name = upload.name or "This file"
        try:
            if upload.size is not None and upload.size > BIGGEST:
                raise Refused(
                    f"This file has {upload.size / 1e6:.0f} MB. The most is {BIGGEST / 1e6:.0f} MB a picture."
                )
            if visits.sent_too_much(visit.draft.from_address, upload.size or 0, at=visit.at):
                raise Refused(FULL)
            album.add_photo(
                content=upload.read(), role=Photo.Role.CUSTOMER, by="customer", at=visit.at, draft=visit.draft
            )
            kept += 1
        except Refused as refusal:
            form.add_fault(f"{name[:80]}: {refusal.sentence}")
    return kept


@require_safe
@with_visit
def photo(visit: Visit, photo_id: int) -> HttpResponse:
    """A photo of one's own draft; nobody else's."""
    if visit.draft is None:
        raise Http404
    row = get_object_or_404(Photo, pk=photo_id, draft=visit.draft)
    return jpeg_answer(row, visit.request.GET.get("px", ""))


def jpeg_answer(row: Photo, px: str = "") -> HttpResponse:
    """A kept photo as a picture and as nothing else; `px` asks for a smaller one. Raises Http404 for a lost file."""
    try:
        jpeg = album.photo_bytes(row)
    except OSError as fault:
        raise Http404 from fault
    if px.isascii() and px.isdigit() and THUMBNAIL[0] <= int(px[:6]) <= THUMBNAIL[1]:
        jpeg = pictures.thumbnail(jpeg, int(px[:6]))
    response = HttpResponse(jpeg, content_type="image/jpeg")
    response["X-Content-Type-Options"] = "nosniff"
    response["Cross-Origin-Resource-Policy"] = "same-origin"
    response["Cache-Control"] = "private, no-store"
    response.content_policy = {"default-src": "'none'", "sandbox": ""}
    return response
