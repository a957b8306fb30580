"""The PDF/A-3 that holds the invoice's XML: a page that people read and the same invoice for machines, in one file.

Source: Factur-X 1.09 (file factur-x.xml, relationship Data, XMP extension schema), ISO 19005-3 level B through the libraries.
No validator of PDF/A was at hand; the tests look for the marks by another library.
"""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from functools import partial

import facturx
from facturx import facturx as library

from intake.papers.child import page_of
from intake.papers.html import PaperError, pdf_in_child
from intake.papers.press import Press
from quotes.einvoice.cii import FLAVOUR, LEVEL

VARIANT = "pdf/a-3b"
CHILD = "quotes.einvoice.child"
CREATOR = "Benchpost"
_one_at_a_time = threading.Lock()


def hybrid_press(xml: bytes, *, author: str, issued: date) -> Press:
    """A press for `printed` that puts `xml` into the page it makes, both in the one child."""
    return partial(
        pdf_in_child, child=CHILD, xml=xml.decode("utf-8"), author=author, issued=issued.isoformat()
    )


def hybrid_of(order: dict[str, str]) -> bytes:
    """The whole paper of an order of `hybrid_press`. Raises PaperError."""
    return enclosed(
        page_of(order, variant=VARIANT),
        order["xml"].encode("utf-8"),
        title=order["title"],
        author=order["author"],
        language=order["language"],
        issued=date.fromisoformat(order["issued"]),
    )


def enclosed(pdf: bytes, xml: bytes, *, title: str, author: str, language: str, issued: date) -> bytes:
    """`pdf` (PDF/A-3) with `xml` as its factur-x.xml; the same input gives the same bytes. Raises PaperError."""
    about = {"author": author, "title": title, "subject": title, "keywords": "Factur-X, EN 16931"}
    try:
        with _as_of(issued):
            # Written by this house and checked by its schema a moment ago; the rule check would ask a server.
            made = facturx.generate_from_binary(
                pdf,
                xml,
                flavor=FLAVOUR,
                level=LEVEL,
                check_xsd=False,
                check_schematron=False,
                pdf_metadata=about,
                lang=language,
                afrelationship="data",
                xmp_compression=False,
            )
    except Exception as fault:
        # Two libraries stand behind this call, each with faults of its own: to the caller all are one.
        raise PaperError("The electronic invoice could not be put into its PDF.") from fault
    return bytes(made)


@contextmanager
def _as_of(issued: date) -> Iterator[None]:
    """The library writes the present second and its author's name into the file. The day of issue, at noon, and the
    house's name are as true, and the same invoice is then the same bytes."""
    ours = {
        "CREATOR": CREATOR,
        "_get_pdf_timestamp": lambda date=None: issued.strftime("D:%Y%m%d120000+00'00'"),
        "_get_metadata_timestamp": lambda: f"{issued.isoformat()}T12:00:00+00:00",
    }
    with _one_at_a_time:
        kept = {name: getattr(library, name) for name in ours}
        try:
            for name, value in ours.items():
                setattr(library, name, value)
            yield
        finally:
            for name, value in kept.items():
                setattr(library, name, value)
