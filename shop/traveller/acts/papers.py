"""The papers of an order, served to staff."""

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_safe

from intake import paper_files
from intake.makers import head_of
from intake.models import Letterhead, Paper
from shop.access import now, order_for_staff, person_of, staff_only
from shop.makers import sheet_pdf
from shop.papers.command_card import COMMANDS, CommandCard, command_card_pdf

PDF = "application/pdf"
# Papers that say what the shop earns.
OWNERS = frozenset({"books_month"})


@require_safe
@staff_only
def paper(request: HttpRequest, paper_id: int) -> HttpResponse:
    """Drawn at first need. A sandbox would keep the browser's own viewer out, so the PDF goes without one.

    What is no PDF is kept as a file and never shown.
    """
    row = get_object_or_404(Paper, pk=paper_id)
    if row.maker in OWNERS and not person_of(request).is_owner:
        raise PermissionDenied
    try:
        drawn = paper_files.content(row, at=now())
    except paper_files.PaperMissing as fault:
        raise Http404(str(fault)) from fault
    return served(drawn, row.file_name, kind=paper_files.content_type(row))


@require_safe
@staff_only
def sheet_on_paper(request: HttpRequest, code: str) -> HttpResponse:
    """The sheet as it stands now, to go round the bench with the device; it is no paper of record."""
    order = order_for_staff(code)
    return served(sheet_pdf(order, at=now()), f"{order.code}-sheet.pdf")


def served(drawn: bytes, name: str, *, kind: str = PDF) -> HttpResponse:
    answer = HttpResponse(drawn, content_type=kind)
    answer.headers["Content-Disposition"] = content_disposition_header(kind != PDF, name) or "inline"
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    answer.headers["Cache-Control"] = "private, no-store"
    return answer


@require_safe
@staff_only
def command_card(request: HttpRequest) -> HttpResponse:
    """The card of commands that lies beside the scanner; it is no paper of record."""
    head = head_of(Letterhead.current())
    return served(command_card_pdf(CommandCard(head, COMMANDS)), "commands.pdf")


urlpatterns: list[URLPattern] = [
    path("bench/card/", command_card, name="command_card"),
    path("paper/<int:paper_id>/", paper, name="paper"),
    path("sheet/<code:code>/print/", sheet_on_paper, name="print_sheet"),
]
