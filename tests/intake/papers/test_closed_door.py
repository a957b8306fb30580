"""Nothing is fetched and nothing attached, even where raw markup would reach the press."""

import dataclasses
import signal
import subprocess
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

from intake.papers import html
from intake.papers.html import ClosedFetcher, PaperError, jpeg_uri, pdf_from_html, pdf_in_child
from intake.papers.words import fit, fitted
from tests.paper_samples import FORM, read, words_of


@pytest.fixture
def recorder() -> Iterator[tuple[str, list[str]]]:
    """A loopback server that writes down what it is asked for."""
    asked: list[str] = []

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.append(self.path)
            self.send_response(200)
            self.end_headers()

        def log_message(self, *args: object) -> None: ...

    server = HTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever, args=(0.02,))
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}", asked
    server.shutdown()
    thread.join()
    server.server_close()


def test_raw_hostile_markup_fetches_and_attaches_nothing(
    recorder: tuple[str, list[str]], tmp_path: Path
) -> None:
    base, asked = recorder
    secret = tmp_path / "secret.txt"
    secret.write_text("mark-of-the-secret")
    local = secret.as_uri()
    markup = f"""<body><link rel=stylesheet href={base}/a.css><link rel=attachment href={local}>
    <style>@import url({base}/b.css); @font-face {{ font-family: X; src: url({base}/c.ttf) }} p {{ font-family: X;
    background: url({base}/d.png) }}</style><p>text</p><img src={base}/e.png><img src={local}><object data={base}/f></object>
    <embed src={base}/g><img src="data:image/svg+xml,<svg xmlns='http://www.w3.org/2000/svg'
    xmlns:xlink='http://www.w3.org/1999/xlink'><image xlink:href='{base}/h.png'/><image href='{local}'/></svg>">
    <a rel=attachment href={local}>x</a><img src="font:../../etc/passwd"><img src="css:../secret"></body>"""
    pdf = pdf_from_html(markup, title="t", language="en")
    assert asked == []
    assert not read(pdf).attachments
    assert b"mark-of-the-secret" not in pdf and "text" in words_of(pdf)


@pytest.mark.parametrize(
    "url",
    [
        "http://127.0.0.1/",
        "file:///etc/passwd",
        "ftp://x/",
        "font:../Read.ttf",
        "css:other.css",
        "FONT:Read.ttf",
    ],
)
def test_fetcher_refuses(url: str) -> None:
    with pytest.raises(ValueError):
        ClosedFetcher().fetch(url)


def test_fetcher_opens_our_own_names() -> None:
    assert ClosedFetcher().fetch("font:Read.ttf").read(4) == b"\x00\x01\x00\x00"
    assert b"@page" in ClosedFetcher().fetch("css:paper.css").read()


def test_child_makes_the_same_paper_as_this_process() -> None:
    markup = "<p>Once in the child, once here.</p>"
    pdf = pdf_in_child(markup, title="t", language="en-GB", page="Letter")
    assert words_of(pdf) == words_of(pdf_from_html(markup, title="t", language="en-GB", page="Letter"))


@pytest.mark.parametrize(("crashes", "comes"), [(1, True), (2, False)])
def test_child_that_crashes_gets_one_more_try(
    monkeypatch: pytest.MonkeyPatch, crashes: int, comes: bool
) -> None:
    ends = [subprocess.CompletedProcess([], -signal.SIGSEGV, b"", b"")] * crashes
    ends.append(subprocess.CompletedProcess([], 0, b"%PDF-1.7", b""))
    monkeypatch.setattr(html.subprocess, "run", lambda *_args, **_more: ends.pop(0))
    if comes:
        assert pdf_in_child("<p>x</p>", title="t", language="en") == b"%PDF-1.7"
    else:
        with pytest.raises(PaperError, match="more memory or time"):
            pdf_in_child("<p>x</p>", title="t", language="en")


def test_child_that_nests_too_deep_is_one_sentence() -> None:
    with pytest.raises(PaperError, match="could not be laid out"):
        pdf_in_child("<div>" * 1200 + "x", title="t", language="en")


def test_child_that_takes_too_long_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(html, "WALL_SECONDS", 0.05)
    with pytest.raises(PaperError, match="longer than"):
        pdf_in_child("<p>x</p>", title="t", language="en")


def test_unknown_page_and_huge_text_are_refused() -> None:
    with pytest.raises(PaperError, match="A4, Letter"):
        pdf_from_html("x", title="t", language="en", page="A0")
    with pytest.raises(PaperError, match="too much text"):
        pdf_from_html("x" * (html.MOST_LETTERS + 1), title="t", language="en")


def test_title_and_language_cannot_break_out() -> None:
    pdf = pdf_from_html("<p>x</p>", title="</title><img src=x>", language='en" onload="x')
    meta = read(pdf).metadata
    assert meta is not None and meta.title == "</title><img src=x>"
    assert read(pdf).root_object["/Lang"] == "enonloadx"


@pytest.mark.parametrize("bytes_", [b"", b"text", b"<svg/>", b"\xff\xd8\xff" + b"x" * 50])
def test_photo_that_is_none_prints_nothing(bytes_: bytes) -> None:
    assert jpeg_uri(bytes_) == ""


def test_fit_takes_out_what_turns_or_hides_text() -> None:
    assert fit("a\x00b\u202ec\ud800d") == "a bc d"
    assert fit("one\r\ntwo\n\n\n\nthree") == "one\ntwo\n\nthree"
    assert len(fit("y" * 20_000)) <= 4000 and fit("y" * 20_000).endswith("(the rest is in the order)")


def test_fitted_bounds_names_tighter_than_stories_and_breaks_endless_words() -> None:
    form = fitted(
        dataclasses.replace(FORM, symptom="Z" * 9000, device="Z" * 9000, contents=("Z" * 9000,) * 300)
    )
    assert len(form.symptom.replace("\u200b", "")) <= 4000
    assert len(form.device.replace("\u200b", "")) <= 300 and len(form.contents) == 100
    assert max(len(part) for part in form.symptom.replace("\u200b", " ").split()) <= 20
    assert fitted(FORM) == FORM
