"""The monthly reports: their list, each as the paper that was posted, and the running month as it stands."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from intake import paper_files
from intake.models import Letterhead, Paper
from intake.papers.html import PaperError
from shop.access import now, owner_only
from shop.books.house import house
from shop.books.months import month_maths
from shop.books.months.collecting import collected
from shop.books.months.paper import paper_of
from shop.books.months.posting import MAKER, addresses
from shop.books.places import places
from shop.models import BookReport
from shop.papers.books_month import books_month_pdf
from shop.traveller.acts.papers import served

LISTED = 120


@never_cache
@require_safe
@owner_only
def months(request: HttpRequest) -> HttpResponse:
    """The newest first."""
    rows = BookReport.objects.defer("figures").order_by("-month")[:LISTED]
    running = month_maths.month_of(int(now().timestamp()), house())
    context = {
        "reports": [(row, month_maths.words(row.month), reverse("shop:books_month", args=[row.month])) for row in rows],
        "running": month_maths.words(running),
        "addresses": addresses(),
        "places": places(),
    }  # fmt: skip
    return render(request, "shop/books/months.html", context)


@never_cache
@require_safe
@owner_only
def month(request: HttpRequest, month: str) -> HttpResponse:
    """The paper that went with the letter, drawn at first need."""
    report = get_object_or_404(BookReport.objects.defer("figures"), month=month)
    paper = get_object_or_404(Paper, key=f"{MAKER}:{report.pk}")
    try:
        drawn = paper_files.content(paper, at=now())
    except paper_files.PaperMissing as fault:
        raise Http404(str(fault)) from fault
    return served(drawn, paper.file_name)


@never_cache
@require_safe
@owner_only
def running_month(request: HttpRequest) -> HttpResponse:
    """The month that is not over, as it stands now. Nothing of it is kept."""
    at = now()
    figures = collected(month_maths.month_of(int(at.timestamp()), house()), at=at)
    try:
        drawn = books_month_pdf(paper_of(figures, Letterhead.current(), running=True))
    except PaperError as fault:
        raise Http404(str(fault)) from fault
    return served(drawn, f"books-{figures['month']}-so-far.pdf")
