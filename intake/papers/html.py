"""HTML to PDF through a closed door: tagged, titled, in a stated language, with our faces embedded.

Source of the traps closed here: WeasyPrint's own pages on URL fetchers, and CVE-2025-68616 (a redirect
that led past an allow-list). Nothing is fetched but data: addresses and our own named files.
"""

import html as markup
import io
import json
import logging
import os
import re
import signal
import subprocess
import sys
import threading
from functools import cache
from pathlib import Path
from typing import Any

from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from intake.papers.faces import FACES, face_path

ROOT = Path(__file__).resolve().parents[2]
STYLES = {"paper.css": ROOT / "templates" / "papers" / "paper.css"}
PAGES = {"A4": "210mm 297mm", "Letter": "8.5in 11in"}

# A paper of this shop is a few pages; more text than this is not a paper but an attack or a mistake.
MOST_LETTERS = 6_000_000
MEMORY_BYTES = 1536 * 1024 * 1024
CPU_SECONDS = 20
WALL_SECONDS = 30
CRASHES = {-signal.SIGSEGV, -signal.SIGBUS}

# One layout at a time: the shared font configuration is not made for several threads.
_one_at_a_time = threading.Lock()
_log = logging.getLogger("benchpost.papers")


class PaperError(Exception):
    """A paper could not be made; the message is a sentence for a person."""


class ClosedFetcher(URLFetcher):  # type: ignore[misc]  # the library has no types
    """Opens data: addresses, `font:<file>` and `css:<name>` of our own lists; refuses all else."""

    def __init__(self) -> None:
        super().__init__(allowed_protocols=["data"], allow_redirects=False)

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
        scheme, _, name = url.partition(":")
        if scheme == "font" and name in FACES:
            return URLFetcherResponse(url, face_path(name).read_bytes(), {"Content-Type": "font/ttf"})
        if scheme == "css" and name in STYLES:
            return URLFetcherResponse(url, STYLES[name].read_bytes(), {"Content-Type": "text/css"})
        if scheme.lower() == "data":
            return super().fetch(url, headers)
        raise ValueError("A paper opens nothing but its own files.")


@cache
def _dress(page: str) -> tuple[list[CSS], FontConfiguration]:
    """The parsed style and faces for one page size, made once for a process."""
    fonts = FontConfiguration()
    rules = STYLES["paper.css"].read_text("utf-8") + f"\n@page {{ size: {PAGES[page]} }}"
    return [CSS(string=rules, font_config=fonts, url_fetcher=ClosedFetcher())], fonts


def pdf_from_html(
    html: str, *, title: str, language: str, page: str = "A4", variant: str = "pdf/ua-1"
) -> bytes:
    """Make a tagged PDF (PDF/UA-1, or the `variant` asked for) in this process from a whole or part HTML page.

    `page` is "A4" or "Letter"; `language` a BCP 47 name such as "en-GB". Raises PaperError.
    """
    if page not in PAGES:
        raise PaperError(f"The paper size must be one of {', '.join(PAGES)}.")
    if len(html) > MOST_LETTERS:
        raise PaperError("This paper holds too much text or too many photos to print.")
    with _one_at_a_time:
        styles, fonts = _dress(page)
        try:
            pdf = HTML(string=_framed(html, title, language), url_fetcher=ClosedFetcher()).write_pdf(
                stylesheets=styles, font_config=fonts, pdf_variant=variant, pdf_tags=True
            )
        except (RecursionError, MemoryError, ValueError, OSError) as fault:
            _log.warning("paper not made: %s", type(fault).__name__)
            raise PaperError(
                "This paper could not be laid out. Its text may be nested too deeply."
            ) from fault
    return bytes(pdf)


def _framed(html: str, title: str, language: str) -> str:
    """State title and language whether or not the page brought its own head."""
    lang = re.sub(r"[^A-Za-z0-9-]", "", language) or "en"
    head = f'<meta charset="utf-8"><title>{markup.escape(title)}</title>'
    body = html.partition("<body")[2].partition(">")[2].rpartition("</body>")[0] if "<body" in html else html
    return f'<!doctype html><html lang="{lang}"><head>{head}</head><body>{body}</body></html>'


def pdf_in_child(
    html: str,
    *,
    title: str,
    language: str,
    page: str = "A4",
    child: str = "intake.papers.child",
    **more: str,
) -> bytes:
    """As pdf_from_html, in a child with bounds on memory, processor and wall time. Raises PaperError.

    `child` is the module that is run, for a paper that is more than a page; it gets `more` with its order.
    """
    order = json.dumps({"html": html, "title": title, "language": language, "page": page} | more).encode()
    done = _child(child, order)
    if done.returncode in CRASHES:
        # A crash inside the layout's C libraries is rare and says nothing of the paper: one more child decides.
        _log.warning("paper child crashed with %s, tried once more", done.returncode)
        done = _child(child, order)
    if done.returncode == 0 and done.stdout.startswith(b"%PDF-"):
        return done.stdout
    said = done.stderr.decode("utf-8", "replace").strip().splitlines()
    if done.returncode == 3 and said:
        raise PaperError(said[-1])
    _log.warning("paper child ended with %s", done.returncode)
    raise PaperError("This paper could not be made: it needed more memory or time than one paper may use.")


def _child(module: str, order: bytes) -> subprocess.CompletedProcess[bytes]:
    try:
        return subprocess.run(  # noqa: S603 -- our own module under our own interpreter, no shell
            [sys.executable, "-m", module],
            input=order,
            capture_output=True,
            cwd=ROOT,
            timeout=WALL_SECONDS,
            check=False,
            env=_small_surroundings(),
        )
    except subprocess.TimeoutExpired as fault:
        raise PaperError(f"This paper took longer than {WALL_SECONDS} seconds to make.") from fault


def _small_surroundings() -> dict[str, str]:
    """The child gets no settings and no keys, only what an interpreter needs to start."""
    keep = ("PATH", "LANG", "LC_ALL", "HOME", "TMPDIR", "FONTCONFIG_PATH", "LD_LIBRARY_PATH")
    here = {name: os.environ[name] for name in keep if name in os.environ}
    # A fixed moment for the faces' own time stamps: the same paper is then the same bytes.
    return here | {"PYTHONPATH": str(ROOT), "SOURCE_DATE_EPOCH": "1767225600"}


def jpeg_uri(photo: bytes, *, edge: int = 900) -> str:
    """A photo made small for paper, as a data: address; '' when it is no photo we can read."""
    from base64 import b64encode

    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(photo), formats=["JPEG", "PNG"]) as picture:
            if picture.width * picture.height > 50_000_000:
                return ""
            picture.draft("RGB", (edge, edge))
            small = picture.convert("RGB")
            small.thumbnail((edge, edge))
            out = io.BytesIO()
            small.save(out, "JPEG", quality=72, optimize=True)
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return ""
    return "data:image/jpeg;base64," + b64encode(out.getvalue()).decode()
