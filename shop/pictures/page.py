"""What the pages about photos show."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from intake.models import Order, Photo
from shop.access import order_for_staff
from shop.models import PhotoMark
from shop.pictures.forms import DescribeForm, MarkForm
from shop.pictures.geometry import COLUMNS, MOST, ROWS
from shop.pictures.seen import line_of, seen

# The photo the other one of a pair is taken beside.
PARTNER = {
    Photo.Role.AFTER: (Photo.Role.FAULT, Photo.Role.BEFORE),
    Photo.Role.FAULT: (Photo.Role.AFTER,),
    Photo.Role.BEFORE: (Photo.Role.AFTER,),
}


def photo_of(code: str, photo_id: int) -> tuple[Order, Photo]:
    """An order and one photo on its sheet. Raises Http404."""
    order = order_for_staff(code)
    return order, get_object_or_404(Photo, pk=photo_id, order=order)


def render_photo(
    request: HttpRequest,
    order: Order,
    photo: Photo,
    *,
    mark_form: MarkForm | None = None,
    describe_form: DescribeForm | None = None,
    status: int = 200,
) -> HttpResponse:
    """The page of one photo: its marks, what the customer sees of it, and its place among the others."""
    ids = list(order.photos.values_list("pk", flat=True))
    place = ids.index(photo.pk)
    rows = list(photo.marks.select_related("reading", "by"))
    context = {
        "order": order,
        "photo": photo,
        "bench": seen([photo], readings=True)[0],
        "customer": seen([photo])[0],
        "marks": [_line(row) for row in rows if row.removed_at is None],
        "removed": [_line(row) for row in rows if row.removed_at is not None],
        "mark_form": mark_form or MarkForm(order=order),
        "describe_form": describe_form or DescribeForm(photo=photo),
        "errors_present": any(form is not None and form.errors for form in (mark_form, describe_form)),
        "squares": squares() if "squares" in request.GET or mark_form is not None else None,
        "partner": partner_of(order, photo),
        "before": ids[place - 1] if place else None,
        "after": ids[place + 1] if place + 1 < len(ids) else None,
        "number": place + 1,
        "count": len(ids),
    }
    return render(request, "shop/pictures/photo.html", context, status=status)


def partner_of(order: Order, photo: Photo) -> Any:
    """The newest photo of the other side of the pair, as it is seen at the bench; None where there is none."""
    roles = PARTNER.get(Photo.Role(photo.role), ())
    other = order.photos.filter(role__in=roles).last()
    return seen([other], readings=True)[0] if other is not None else None


def squares() -> dict[str, Any]:
    """The lines and names of the 81 squares, in thousandths, as an SVG draws them."""
    wide, high = MOST / len(COLUMNS), MOST / len(ROWS)
    return {
        "across": [round(wide * number) for number in range(1, len(COLUMNS))],
        "down": [round(high * number) for number in range(1, len(ROWS))],
        "names": [
            {"name": f"{column}{row}", "x": round(wide * (left + 0.5)), "y": round(high * (top + 0.6))}
            for left, column in enumerate(COLUMNS)
            for top, row in enumerate(ROWS)
        ],
    }


def _line(row: PhotoMark) -> dict[str, Any]:
    return {"row": row, "words": line_of(row)}
