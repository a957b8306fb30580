"""The customer's own papers and the photos they may see; nothing else of the order leaves by this door."""

import io

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_safe
from PIL import Image

from intake import paper_files, photo_files
from intake.models import CustomerLink, Order, Photo
from intake.papers.html import PaperError
from shop.access import now
from shop.window.by_link import by_link

SEALED = {"sandbox": "", "default-src": "'none'"}


@require_safe
@by_link
def paper(request: HttpRequest, order: Order, link: CustomerLink, pk: int) -> HttpResponse:
    """One paper of this order, as a download."""
    row = order.papers.filter(pk=pk, for_customer=True).first()
    if row is None:
        raise Http404
    try:
        content = paper_files.content(row, at=now())
    except (paper_files.PaperMissing, PaperError) as fault:
        raise Http404 from fault
    kind = "application/xml" if row.file_name.endswith(".xml") else "application/pdf"
    answer = sealed(HttpResponse(content, content_type=kind))
    answer.headers["Content-Disposition"] = content_disposition_header(True, row.file_name) or "attachment"
    return answer


@require_safe
@by_link
def photo(request: HttpRequest, order: Order, link: CustomerLink, pk: int) -> HttpResponse:
    """One photo that is shown to the customer; `?px=320` gives it small."""
    row = order.photos.filter(pk=pk, shown=True).first()
    if row is None:
        raise Http404
    try:
        content = photo_files.shown(row)
    except OSError as fault:
        raise Http404 from fault
    return sealed(
        HttpResponse(small(content, row) if "px" in request.GET else content, content_type="image/jpeg")
    )


def small(content: bytes, row: Photo, *, px: int = 320) -> bytes:
    """The same picture, at most `px` wide and high. It was re-encoded when it came in, so that it is safe to read."""
    if max(row.width, row.height) <= px:
        return content
    out = io.BytesIO()
    with Image.open(io.BytesIO(content), formats=["JPEG"]) as picture:
        picture.thumbnail((px, px))
        picture.save(out, "JPEG", quality=80)
    return out.getvalue()


def sealed(answer: HttpResponse) -> HttpResponse:
    """A file is only ever a file: no page, no other site may take it in."""
    answer.content_policy = SEALED  # type: ignore[attr-defined]
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    return answer
