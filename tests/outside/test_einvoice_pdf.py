"""The PDF that holds an invoice's XML, looked at by other libraries than those that made it (pikepdf, pypdf).

Source: Factur-X 1.09 (file name, relationship, XMP properties) and ISO 19005-3 level B, as recorded from a run of
factur-x 7.8 with WeasyPrint 70.0. No validator of PDF/A was at hand.
"""

import dataclasses
import io
import re
import time
from decimal import Decimal as D

import facturx
import pikepdf
import pytest

from intake.papers.html import PaperError
from quotes.einvoice import hybrid
from quotes.einvoice.cii import cii_xml
from quotes.einvoice.facts import InvoiceFacts
from quotes.einvoice.hybrid import enclosed, hybrid_of, hybrid_press
from quotes.einvoice.schema import parsed
from quotes.einvoice.ubl import ubl_xml
from quotes.papers.invoice import InvoicePaper, ItemRow, invoice_html, invoice_pdf
from quotes.papers.lines import PricedLine, TaxRow
from tests.einvoice_samples import credit, samples
from tests.paper_samples import HEAD, INVOICE, loose_fonts, read, words_of

SAMPLES = dict(samples())
FACTS = SAMPLES["S EUR"]
AUTHOR = "Quillmere Bench Works"


def paper_of(facts: InvoiceFacts) -> InvoicePaper:
    return dataclasses.replace(
        INVOICE,
        head=dataclasses.replace(HEAD, currency=facts.currency, locale="en_US"),
        number=facts.number,
        issued=facts.issued,
        lines=tuple(
            PricedLine(
                line.text,
                line.quantity,
                line.price,
                line.net,
                line.percent,
                line.per,
                line.allowance,
                line.charge,
            )
            for line in facts.lines
        ),
        items=tuple(ItemRow(item.text, -item.amount, item.percent) for item in facts.allowances)
        + tuple(ItemRow(item.text, item.amount, item.percent) for item in facts.charges),
        line_sum=facts.line_sum,
        taxes=tuple(TaxRow(group.percent, group.base, group.tax) for group in facts.groups),
        net=facts.net,
        tax=facts.tax,
        total=facts.total,
        set_off=facts.prepaid,
        rounding=facts.rounding,
        payable=facts.payable,
        balance=facts.payable,
        payments=(),
        credit_of=facts.credit_of[0] if facts.credit_of else "",
    )


def made(facts: InvoiceFacts) -> bytes:
    """The whole paper in this process, as the child makes it."""
    title = f"Invoice {facts.number}"
    order = {"html": invoice_html(paper_of(facts)), "title": title, "language": "en-GB", "page": "A4"}
    return hybrid_of(
        order | {"xml": cii_xml(facts).decode(), "author": AUTHOR, "issued": facts.issued.isoformat()}
    )


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return made(FACTS)


def test_marks_of_the_archive_and_of_the_invoice(pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(pdf)) as document:
        assert document.pdf_version == "1.7"
        root = document.Root
        assert root.OutputIntents[0].S == "/GTS_PDFA1"
        assert len(root.AF) == 1
        spec = root.AF[0]
        assert (spec.AFRelationship, spec.F, spec.UF) == ("/Data", "factur-x.xml", "factur-x.xml")
        assert spec.EF.F.Subtype == "/text/xml"
        assert list(document.attachments) == ["factur-x.xml"]
        assert root.MarkInfo.Marked and "/StructTreeRoot" in root
        assert root.Lang == "en-GB"
        about = document.open_metadata()
        assert (about["pdfaid:part"], about["pdfaid:conformance"]) == ("3", "B")
        fx = "{urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#}"
        assert about[f"{fx}DocumentType"] == "INVOICE"
        assert about[f"{fx}ConformanceLevel"] == "EN 16931"
        assert about[f"{fx}DocumentFileName"] == "factur-x.xml"
        assert "Factur-X PDFA Extension Schema" in str(about)
        assert about["dc:title"] == document.docinfo.Title == "Invoice INV-00042"
        assert about["dc:creator"] == [AUTHOR] and document.docinfo.Author == AUTHOR
        assert document.docinfo.Creator == "Benchpost"


def test_fonts_are_embedded_and_nothing_runs(pdf: bytes) -> None:
    assert loose_fonts(pdf) == []
    root = read(pdf).root_object
    assert "/OpenAction" not in root and "/JavaScript" not in str(root.get("/Names", ""))


def test_xml_comes_out_as_it_went_in(pdf: bytes) -> None:
    assert read(pdf).attachments == {"factur-x.xml": [cii_xml(FACTS)]}
    name, xml = facturx.get_xml_from_pdf(pdf, check_xsd=True, check_schematron=False)
    assert (name, xml) == ("factur-x.xml", cii_xml(FACTS))


def test_child_makes_the_same_bytes_each_time() -> None:
    press = hybrid_press(cii_xml(FACTS), author=AUTHOR, issued=FACTS.issued)
    first = invoice_pdf(paper_of(FACTS), press=press)
    time.sleep(1.1)  # times in files are whole seconds
    assert invoice_pdf(paper_of(FACTS), press=press) == first
    assert read(first).attachments == {"factur-x.xml": [cii_xml(FACTS)]}


def test_library_keeps_its_own_clock_afterwards(pdf: bytes) -> None:
    assert "Benchpost" not in hybrid.library.CREATOR
    assert re.fullmatch(r"D:20\d{12}\+00'00'", hybrid.library._get_pdf_timestamp())


def test_page_that_is_no_pdf_is_one_sentence() -> None:
    with pytest.raises(PaperError, match="could not be put into its PDF"):
        enclosed(
            b"%PDF-1.7 no more", cii_xml(FACTS), title="t", author="a", language="en-GB", issued=FACTS.issued
        )


def amounts_of(xml: bytes) -> set[D]:
    """Every amount of money in a document, read without our own names for them."""
    found = set()
    for node in parsed(xml).iter():
        name = str(node.tag).rpartition("}")[2]
        if node.text and (node.get("currencyID") or name.endswith("Amount")):
            found.add(abs(D(node.text)))
    return found


@pytest.mark.parametrize(
    "facts",
    [
        FACTS,
        credit(FACTS),
        SAMPLES["two rates and an exemption"],
        SAMPLES["deposit set off"],
        SAMPLES["whole krona"],
        SAMPLES["S JPY"],
    ],
    ids=["plain", "credit note", "two rates", "deposit", "rounded", "yen"],
)
def test_page_and_xml_say_the_same_amounts(facts: InvoiceFacts) -> None:
    words = words_of(made(facts))
    shown = {abs(D(text.replace(",", ""))) for text in re.findall(r"\d[\d,]*(?:\.\d+)?", words)}
    for xml in (cii_xml(facts), ubl_xml(facts)):
        assert amounts_of(xml) - {D(0)} <= shown
