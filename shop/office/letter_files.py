"""Letters of the outbox as pages: what is in one, its HTML in a locked frame, its papers and photos."""

from typing import Any

from django.http import Http404, HttpResponse
from django.utils.http import content_disposition_header

from intake import paper_files, photo_files, tokens
from intake.letters import readable
from intake.models import Letter
from shop.access import now

A_PAGE = 50
NO_LINK = "(the customer's own link stands here)"
# A letter's own page may run nothing, send nothing and lead nowhere; its plain inline styles are all it gets.
LOCKED = {
    "sandbox": "",
    "script-src": "'none'",
    "style-src": "'unsafe-inline'",
    "font-src": "'none'",
    "connect-src": "'none'",
    "form-action": "'none'",
    "img-src": "data:",
    "frame-ancestors": "'self'",
}


def newest_first(before: str) -> tuple[list[Letter], int | None]:
    """Letters that went or were closed, 50 a page by falling number, and where the next page begins. One query."""
    return page_of(Letter.objects.filter(state__in=[Letter.State.SENT, Letter.State.CLOSED]), before)


def page_of(letters: Any, before: str) -> tuple[list[Letter], int | None]:
    rows = letters.select_related("order").defer("text", "html").order_by("-pk")
    if before.isdecimal():
        rows = rows.filter(pk__lt=int(before[:18]))
    shown = list(rows[: A_PAGE + 1])
    return shown[:A_PAGE], shown[A_PAGE - 1].pk if len(shown) > A_PAGE else None


def words_of(letter: Letter, *, with_link: bool) -> str:
    return readable(letter, "text") if with_link else letter.text.replace(tokens.MARK, NO_LINK)


def html_answer(letter: Letter, *, with_link: bool) -> HttpResponse:
    """The HTML part, to be shown in a frame of this house and nowhere else."""
    if not letter.html:
        raise Http404("This letter is plain text.")
    body = readable(letter, "html") if with_link else letter.html.replace(tokens.MARK, "#")
    answer = HttpResponse(body)
    answer.content_policy = LOCKED  # type: ignore[attr-defined]  # read by shop.guard
    answer.headers["X-Frame-Options"] = "SAMEORIGIN"
    return _private(answer)


def paper_answer(letter: Letter, pk: int) -> HttpResponse:
    """A paper that went with the letter."""
    paper = letter.papers.filter(pk=pk).first()
    if paper is None:
        raise Http404("No such paper.")
    try:
        drawn = paper_files.content(paper, at=now())
    except paper_files.PaperMissing as fault:
        raise Http404(str(fault)) from fault
    kind = paper_files.content_type(paper)
    answer = HttpResponse(drawn, content_type=kind)
    kept = kind != "application/pdf"
    answer.headers["Content-Disposition"] = content_disposition_header(kept, paper.file_name) or "inline"
    return _private(answer)


def photo_answer(letter: Letter, pk: int) -> HttpResponse:
    """A photo that went with the letter."""
    photo = letter.photos.filter(pk=pk).first()
    if photo is None:
        raise Http404("No such photo.")
    try:
        answer = HttpResponse(photo_files.shown(photo), content_type="image/jpeg")
    except OSError as fault:
        raise Http404("The file of this photo cannot be read.") from fault
    answer.content_policy = {"sandbox": ""}  # type: ignore[attr-defined]  # read by shop.guard
    return _private(answer)


def _private(answer: HttpResponse) -> HttpResponse:
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    answer.headers["Cache-Control"] = "private, no-store"
    return answer
