"""Fills a paper's template (autoescape on, own engine) and hands it to the closed door."""

from collections.abc import Callable
from functools import cache
from typing import Any, Protocol

from django.template import Context, Engine

from intake.papers.head import Head
from intake.papers.html import ROOT, pdf_in_child
from intake.papers.words import fit, fitted

Press = Callable[..., bytes]


class Paper(Protocol):
    """What every HTML paper's dataclass has: the shop on its head."""

    @property
    def head(self) -> Head: ...


@cache
def _engine() -> Engine:
    # An engine of its own: no page frame, no request, and only the tags of papers.
    return Engine(
        dirs=[ROOT / "templates"],
        builtins=["intake.papers.tags"],
        loaders=[("django.template.loaders.cached.Loader", ["django.template.loaders.filesystem.Loader"])],
    )


def filled(template: str, paper: Paper, **more: Any) -> str:
    """The HTML of a paper. Texts are made fit first, so that a template never meets a raw one."""
    safe, more = fitted(paper), {name: fitted(value) for name, value in more.items()}
    return str(
        _engine()
        .get_template(template)
        .render(Context({"paper": safe, "head": safe.head} | more, autoescape=True, use_l10n=False))
    )


def printed(template: str, paper: Paper, *, title: str, press: Press = pdf_in_child, **more: Any) -> bytes:
    """The PDF of a paper. `press` is pdf_in_child, or pdf_from_html where the caller is itself bounded."""
    head = paper.head
    return press(
        filled(template, paper, **more), title=fit(title, 120), language=head.language, page=head.page
    )
