"""Hostile text in every field of every paper: no request, no file read, nothing attached, no mark of its own on the page."""

import dataclasses
import importlib
import inspect
import itertools
import pkgutil
import socket
import threading
from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal as D
from html.parser import HTMLParser
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import Any

import pytest

import intake.papers
import quotes.papers
import shop.papers
from intake.papers.address_label import address_label_pdf
from intake.papers.bag_label import bag_label_pdf
from intake.papers.html import pdf_from_html
from intake.papers.quarantine_slip import quarantine_slip_pdf
from quotes.einvoice.hybrid import enclosed
from quotes.papers.invoice import invoice_pdf
from quotes.papers.statement import BillRow, StatementLine, StatementPaper, statement_pdf
from shop.papers.books_month import BooksMonth, MonthFigure, MonthPart, MonthTable, books_month_pdf
from shop.papers.command_card import Command, CommandCard, command_card_pdf
from shop.papers.lot_label import LotLabel, lot_label_pdf
from shop.papers.return_label import return_label_pdf
from tests import paper_samples as samples
from tests.shop.security.hostile_texts import hostile

DAY = date(2026, 1, 12)
STATEMENT = StatementPaper(
    samples.HEAD, "STM-00003", ("Stallmere Phones", "9 Nowhere Lane"), DAY, DAY, DAY, D(50), D(142),
    lines=((StatementLine(DAY, "Invoice", "INV-00007", "MARW-7C4X", D(112)),),),
    bills=((BillRow("INV-00002", DAY, DAY, D(30), is_late=True),),), ages=(("0 to 30", D(112)),), bank_account="ZZ00",
)  # fmt: skip
MONTH = BooksMonth(
    samples.HEAD, "January 2026", "December 2025", "2 February", "Nine went home.",
    parts=(
        MonthPart(
            "Time", (MonthFigure("Half are home", "9 days", "faster", "All orders", "9 orders", "8 to 10", "2 are open"),),
            tables=(MonthTable("Slow ones", "What they are", (("Order", False),), ((("MARW-7C4X", False),),)),),
        ),
    ),
)  # fmt: skip
SHEETS: dict[str, tuple[Any, Callable[..., bytes]]] = {
    **samples.INTAKE_SHEETS,
    **samples.QUOTES_SHEETS,
    **samples.SHOP_SHEETS,
    "quote of several ways": (samples.SEVERAL, samples.quote_pdf),
    "decision by phone": (samples.SPOKEN, samples.decision_receipt_pdf),
    "statement": (STATEMENT, statement_pdf),
    "month": (MONTH, books_month_pdf),
    "card": (CommandCard(samples.HEAD, (Command("GO-LOOK", "Start"),)), command_card_pdf),
}
LABELS: dict[str, tuple[Any, Callable[..., bytes]]] = {
    "address label": (samples.LABEL, address_label_pdf),
    "bag label": (samples.BAG, bag_label_pdf),
    "quarantine slip": (samples.SLIP, quarantine_slip_pdf),
    "return label": (samples.RETURN, return_label_pdf),
    "lot label": (LotLabel("LOT-00001", "CAP-10U", "Capacitor", "A1", "used", "A shop", "L1"), lot_label_pdf),
}
# Fields whose text is a bar code: what cannot be one is refused before it is drawn.
DRAWN_AS_CODE = {"command card": "code", "lot label": "number"}
SECRET = "mark-of-the-secret"


@pytest.fixture(scope="module")
def recorder() -> Iterator[tuple[str, list[str]]]:
    """A loopback server that writes down what it is asked for, and sends /redirect on to itself."""
    asked: list[str] = []

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.append(self.path)
            self.send_response(302 if self.path == "/redirect" else 200)
            self.send_header("Location", "/inside")
            self.end_headers()

        def log_message(self, *args: object) -> None: ...

    server = HTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever, args=(0.02,))
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}", asked
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture(scope="module")
def secret(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("secret") / "secret.txt"
    path.write_text(SECRET)
    return path


@pytest.fixture
def texts(recorder: tuple[str, list[str]], secret: Path) -> dict[str, str]:
    return hostile(recorder[0], secret.as_uri())


@pytest.fixture
def no_network(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Every place that this process tries to reach."""
    tried: list[Any] = []
    monkeypatch.setattr(socket.socket, "connect", lambda _, place: tried.append(place))
    return tried


def in_every_field(value: Any, next_text: Callable[[], str]) -> Any:
    """The same paper with the next text in each field that holds words."""
    if isinstance(value, str):
        return next_text()
    if isinstance(value, tuple):
        return tuple(in_every_field(item, next_text) for item in value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return dataclasses.replace(
            value,
            **{
                field.name: in_every_field(getattr(value, field.name), next_text)
                for field in dataclasses.fields(value)
                if field.name not in samples.OWN_FIELDS
            },
        )
    return value


class Shape(HTMLParser):
    """What a browser would see: each mark with the names of its attributes, and where it would go."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.marks: set[str] = set()
        self.leads: set[str] = set()
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.marks.add(" ".join([tag, *(name for name, _ in attrs)]))
        self.leads |= {
            value or "" for name, value in attrs if name in ("href", "src", "data", "srcset", "action")
        }

    def handle_comment(self, data: str) -> None:
        self.marks.add("<!--")

    def handle_pi(self, data: str) -> None:
        self.marks.add("<?")


def page_of(sheet: Any, make: Callable[..., bytes]) -> str:
    return make(sheet, press=lambda html, **_: html.encode()).decode()


def test_every_paper_of_every_floor_is_among_these() -> None:
    """A new paper fails here until it is poisoned as well."""
    covered = {make.__name__ for _, make in (*SHEETS.values(), *LABELS.values())}
    made = set()
    for floor in (intake.papers, quotes.papers, shop.papers):
        for module in pkgutil.iter_modules(floor.__path__):
            name = f"{floor.__name__}.{module.name}"
            if module.name != "child":
                found = inspect.getmembers(importlib.import_module(name), inspect.isfunction)
                made |= {word for word, _ in found if word.endswith("_pdf")}
    assert made - covered == set()


def test_texts_are_as_many_as_promised(texts: dict[str, str]) -> None:
    assert len(texts) >= 50


@pytest.mark.parametrize("name", SHEETS)
def test_no_text_in_any_field_becomes_a_mark_of_the_page(name: str, texts: dict[str, str]) -> None:
    """Every text in every field: the page holds the marks that plain words leave, and leads nowhere else."""
    sheet, make = SHEETS[name]
    line = iter(range(10**6))
    plain = Shape(page_of(in_every_field(sheet, lambda: f"plain words {next(line)}\nand more"), make))
    whole = Shape(page_of(sheet, make))
    wrong = []
    for told, text in texts.items():
        found = Shape(page_of(in_every_field(sheet, lambda text=text: text), make))
        if extra := found.marks - plain.marks - whole.marks:
            wrong.append(f"{told}: {sorted(extra)[:5]}")
        if far := [
            lead for lead in found.leads if not lead.startswith("data:image/") and lead not in whole.leads
        ]:
            wrong.append(f"{told} leads to {far[:3]}")
    assert wrong == []


def closed(pdf: bytes) -> list[str]:
    """What a file holds that no paper may."""
    reader = samples.read(pdf)
    wrong = [f"attached {name}" for name in reader.attachments]
    root = reader.root_object
    if "/JavaScript" in str(root.get("/Names", "")) or "/OpenAction" in root or "/AA" in root:
        wrong.append("acts by itself")
    if SECRET.encode() in pdf or SECRET in samples.words_of(pdf):
        wrong.append("the secret")
    for page in reader.pages:
        for note in page.get("/Annots", None) or []:
            goal = note.get_object().get("/A", {}).get("/URI", "")
            if goal and not str(goal).startswith("mailto:"):
                wrong.append(f"leads to {goal}")
    return wrong


@pytest.mark.long
@pytest.mark.parametrize("name", SHEETS)
def test_paper_with_hostile_text_asks_and_reads_and_attaches_nothing(
    name: str,
    texts: dict[str, str],
    recorder: tuple[str, list[str]],
    no_network: list[Any],
    size: Callable[[int, int], int],
) -> None:
    """Short: one paper, another text in each field. Long: a paper for each text, which then stands in every field."""
    sheet, make = SHEETS[name]
    mixed = itertools.cycle(texts.values())
    papers = [in_every_field(sheet, lambda: next(mixed))]
    papers += [in_every_field(sheet, lambda text=text: text) for text in texts.values()][
        : size(0, len(texts))
    ]
    for paper in papers:
        assert closed(make(paper, press=pdf_from_html)) == []
    assert recorder[1] == [] and no_network == []


@pytest.mark.long
@pytest.mark.parametrize("name", LABELS)
def test_label_with_hostile_text_asks_and_attaches_nothing(
    name: str,
    texts: dict[str, str],
    recorder: tuple[str, list[str]],
    no_network: list[Any],
    size: Callable[[int, int], int],
) -> None:
    label, make = LABELS[name]
    for text in list(texts.values())[:: size(9, 1)]:
        poisoned = in_every_field(label, lambda text=text: text)
        if name in DRAWN_AS_CODE:
            field = DRAWN_AS_CODE[name]
            poisoned = dataclasses.replace(poisoned, **{field: getattr(label, field)})
        assert closed(make(poisoned)) == []
    assert recorder[1] == [] and no_network == []


def test_invoice_that_carries_its_xml_carries_nothing_else(
    texts: dict[str, str], recorder: tuple[str, list[str]], no_network: list[Any]
) -> None:
    mixed = itertools.cycle(texts.values())
    paper = in_every_field(samples.INVOICE, lambda: next(mixed))

    def press(html: str, *, title: str, language: str, page: str) -> bytes:
        pdf = pdf_from_html(html, title=title, language=language, page=page, variant="pdf/a-3u")
        return enclosed(pdf, b"<a/>", title=title, author="Quillmere Bench", language=language, issued=DAY)

    reader = samples.read(invoice_pdf(paper, press=press))
    assert {name: list(found) for name, found in reader.attachments.items()} == {"factur-x.xml": [b"<a/>"]}
    assert recorder[1] == [] and no_network == []


def test_recorder_hears_a_request_that_is_made(recorder: tuple[str, list[str]]) -> None:
    """The test of the test: a server nobody can reach would prove nothing."""
    import urllib.request

    with urllib.request.urlopen(f"{recorder[0]}/heard") as answer:
        assert answer.status == 200
    assert recorder[1] == ["/heard"]
    recorder[1].clear()


def test_shape_sees_a_mark_that_comes_through() -> None:
    assert Shape("<p>a</p>").marks != Shape("<p>a<img src=x></p>").marks
    assert Shape("<a href=http://x>").leads == {"http://x"}
