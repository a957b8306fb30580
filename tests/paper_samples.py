"""One true-looking sample of every paper, and the ways to poison and to read one back. All of it is invented."""

import dataclasses
import io
from datetime import UTC, date, datetime
from decimal import Decimal as D
from typing import Any

import pypdf
import pypdfium2
import zxingcpp
from PIL import Image

from intake.papers.address_label import AddressLabel
from intake.papers.arrival_receipt import ArrivalReceipt, arrival_receipt_pdf
from intake.papers.bag_label import BagLabel
from intake.papers.head import Head, Snap
from intake.papers.quarantine_slip import QuarantineSlip
from intake.papers.shipping_form import LaterCost, ShippingForm, shipping_form_pdf
from quotes.papers.decision_receipt import ConsentRow, DecisionReceipt, decision_receipt_pdf
from quotes.papers.invoice import InvoicePaper, PaymentRow, invoice_pdf
from quotes.papers.lines import PricedLine, TaxRow
from quotes.papers.quote import (
    ChangeRow,
    ChoiceRow,
    ExtraRow,
    QuotePaper,
    QuoteTax,
    ReadingRow,
    quote_pdf,
)
from shop.papers.packing_slip import PackedItem, PackingSlip, packing_slip_pdf
from shop.papers.repair_report import ReadingPair, RepairReport, TestRow, repair_report_pdf
from shop.papers.return_label import ReturnLabel
from shop.papers.traveller import SheetReading, StationRow, TravellerPaper, traveller_pdf

CODE = "MARW7C4X"
DIGEST = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"
NOON = datetime(2026, 2, 3, 12, 0, tzinfo=UTC)
SHOP = ("Quillmere Bench", "Unit 4, 12 Example Row", "Anytown, ZZ 00000")
MARA = ("Mara Ellwick", "3 Nowhere Lane", "Anytown, ZZ 00000")
PHONE = "Zarnik Z7, phone, blue, 128 GB"
MARKS = ("Restricted Electronic Device", "Surface Transportation Only")
HEAD = Head(
    "Quillmere Bench", SHOP[1:], "bench@quillmere.example", "555-0100", "Quillmere Bench Works", "ZZ-000000"
)


def snap(words: str = "The lifted pad") -> Snap:
    out = io.BytesIO()
    Image.linear_gradient("L").resize((800, 600 + len(words))).save(out, "JPEG")
    return Snap(words, out.getvalue())


LINES = (
    PricedLine("Mend the torn pad and run a fine wire", D("1.000"), D("96"), D("96.00")),
    PricedLine("Flex part, used, tested", D(1), D(4), D("4.00"), D("8.000")),
    PricedLine("Return post, tracked", D(1), D(12), D("12.00")),
)
TAXES = (TaxRow(D("8.000"), D(4), D("0.32")), TaxRow(D(0), D(108), D(0)))
FORM = ShippingForm(
    HEAD, CODE, SHOP, MARA, PHONE, "Rings but nobody hears me. It began after the socket was changed.",
    date(2026, 2, 3), serial="001001000000015", happened="Opened once by another shop",
    idea="My brother-in-law says the microphone is blown.", data_wish="Keep my data", contents=("Phone",),
    post_marks=MARKS, post_marks_source="US postal rule of 6 June 2022 (FR 2022-12003).",
    later_costs=(LaterCost("Return post", D("12.00")), LaterCost("Storage, a week", D("5.00"))),
    standing_limit=D(120), declared_value=D(240), terms_version="4",
)  # fmt: skip
ARRIVAL = ArrivalReceipt(
    HEAD, CODE, "Mara Ellwick", PHONE, NOON, "Ansel Rook", ("Phone", "Sleeve"), "Corner dented, glass whole.",
    serial="001001000000015", missing=("Charger",), weight_grams=412, bag="B-31", chain_head=DIGEST,
    photos=(snap("Front"), snap("Back")),
)  # fmt: skip
MEND = ChoiceRow(
    "Mend it", D("112.32"), promise=date(2026, 2, 10), warranty_words="90 days from delivery.",
    chance="Good. We know the fault and how to mend it.", data_words="We work to keep it and cannot promise it.",
    no_fix_total=D(12), fails_words="That is the return post.", lines=LINES, taxes=(QuoteTax("Tax", D("8.000"), D(4), D("0.32")),),
)  # fmt: skip
BACK = ChoiceRow(
    "Send it back as it is", D(12), words="Return post.", data_words="It stays on the device as it came."
)
RECYCLE = ChoiceRow(
    "Recycle it", D(0), words="We wipe it first and write that down. Nothing comes back to you."
)
QUOTE = QuotePaper(
    HEAD, CODE, 1, "Mara Ellwick", PHONE,
    "The microphone is good. The line that feeds it is broken at a lifted solder pad. We can mend it.",
    (MEND, BACK, RECYCLE), NOON, datetime(2026, 2, 24, 23, tzinfo=UTC), DIGEST,
    idea="The microphone is blown.", idea_answer="A good guess; the microphone itself reads normal.",
    readings=(ReadingRow("Microphone supply", "0.451 V", "OL", True), ReadingRow("Main supply", "> 300 Ω", "1.2 kΩ")),
    part_words="One used part from a tested donor board.", terms_version="4",
)  # fmt: skip
DATA = ChoiceRow(
    "Save the data only", D(140), promise=date(2026, 2, 12), chance="Even. It depends on what still answers.",
    data_words="It comes home on a stick.", no_fix_total=D(12), fails_words="If no data can be read you pay nothing for the try.",
    lines=(PricedLine("Lift the storage and read it", D(1), D(140), D(140)),),
    taxes=(QuoteTax("tax", D(0), D(140), D(0), "the post abroad is exempt"),),
)  # fmt: skip
SEVERAL = dataclasses.replace(
    QUOTE, revision=2, says="We found more when it was open.",
    choices=(dataclasses.replace(MEND, extras=(ExtraRow("Front film", D(19)), ExtraRow("Clean the vents", D("11.01")))), DATA, BACK, RECYCLE),
    deposit=D(40), deposit_words="It comes back if the part cannot be had.", replaces=1,
    changes=(ChangeRow("New socket", D(96), D(120), D(24)), ChangeRow("Wire", D(4), None, D(-4)), ChangeRow("Film", None, D(9), D(9))),
)  # fmt: skip
DECISION = DecisionReceipt(
    HEAD, CODE, 1, "Mara Ellwick", PHONE, "Mend it", "Yes, mend it for $112.32", "Mara Ellwick", D("112.32"), NOON,
    "On the order's page", DIGEST, DIGEST[::-1], if_it_fails="That is the return post.", no_fix_total=D(12), next_step="We start.",
)  # fmt: skip
SPOKEN = dataclasses.replace(
    DECISION, decided="Clean it, without a promise", total=D("71.01"), extras=(ExtraRow("Clean the vents", D("11.01")),),
    channel="By phone, noted by staff", recorded_by="Ansel Rook", called_number="555-0101",
    spoken_at=datetime(2026, 2, 3, 11, 40, tzinfo=UTC), conditions="Only if it is back by Friday.",
    consents=(ConsentRow("I know that you promise nothing: it may not work after the cleaning.", "4"),),
    promise=date(2026, 2, 10), deposit=D(40), deposit_words="It comes back if the part cannot be had.",
)  # fmt: skip
INVOICE = InvoicePaper(
    HEAD, "INV-000042", CODE, PHONE, MARA, date(2026, 2, 9), LINES, TAXES, D(112), D("0.32"), D("112.32"), D("62.32"),
    due=date(2026, 2, 23), payments=(PaymentRow(date(2026, 2, 10), "card", D(50)),), reference="RF712348231",
    bank_account="ZZ00 0000 0000",
)  # fmt: skip
CREDIT = dataclasses.replace(
    INVOICE,
    number="CN-000003",
    credit_of="INV-000042",
    why="Part not needed.",
    balance=D("-4.32"),
    payments=(),
)
REPORT = RepairReport(
    HEAD, CODE, "Mara Ellwick", PHONE, "Mended: you can be heard again", "The line was open at a lifted pad.",
    date(2026, 2, 9), "Ansel Rook", steps=("Put down a new pad.", "Ran a fine wire, 11 mm."),
    parts=("Flex part, used",), readings=(
        ReadingPair("Microphone supply", "0.451 V", "OL", "0.452 V", "in order", "own good boards, n=7", "diode, red on ground", "Bench 1"),
    ),
    before=snap(), after=snap("The new pad"), warranty_words="90 days from delivery.",
    tests=(TestRow("Charging", "OK", "0.9 A"), TestRow("Mobile radio", "Cannot test", "no SIM of this net here")),
    not_tested=(("Mobile radio", "no SIM of this net here"),), bad_already=(("Headset socket", "bent when it came"),),
    second_by="PD", list_version=2, warranty_days=90, after_liquid=True, one_scale=True,
)  # fmt: skip
PACKING = PackingSlip(
    HEAD, CODE, "Mara Ellwick", PHONE, "Mended.", NOON, "Pim Dallow", (PackedItem("Phone", True, True),),
    enclosed=("Repair report",), tracking="LA473124829ZZ", cover=D(240), post_marks=MARKS,
)  # fmt: skip
TRAVELLER = TravellerPaper(
    HEAD, CODE, PHONE, "Rings but nobody hears me.",
    (
        StationRow(10, "Request", "signed", "Form sent in.", "WEB", "Sat 21 Nov, 19:42"),
        StationRow(30, "Diagnosis", "open", readings=(SheetReading("Main supply", "> 300 Ω", "1.4 Ω", True),)),
        StationRow(80, "Goods out", "blank"),
    ),
    NOON, bag="B-31", idea="The microphone", slips=("Waiting for the customer's answer",),
)  # fmt: skip
LABEL = AddressLabel(
    SHOP, MARA, CODE, post_marks=MARKS, note="US postal rule of 6 June 2022 (FR 2022-12003)."
)
BAG = BagLabel(CODE, PHONE, "B-31", "Quarantine")
SLIP = QuarantineSlip(CODE, "Plenthor Note 5", NOON, "Ansel Rook", "Pack swollen 4 mm", "Steel box")
RETURN = ReturnLabel(CODE, MARA, SHOP, "LA 473124829 ZZ", "Tracked", MARKS, "FR 2022-12003.")

INTAKE_SHEETS = {
    "shipping form": (FORM, shipping_form_pdf),
    "arrival receipt": (ARRIVAL, arrival_receipt_pdf),
}
QUOTES_SHEETS = {
    "quote": (QUOTE, quote_pdf),
    "decision receipt": (DECISION, decision_receipt_pdf),
    "invoice": (INVOICE, invoice_pdf),
    "credit note": (CREDIT, invoice_pdf),
}
SHOP_SHEETS = {
    "repair report": (REPORT, repair_report_pdf),
    "packing slip": (PACKING, packing_slip_pdf),
    "traveller": (TRAVELLER, traveller_pdf),
}

# Fields that the shop's own code writes and that no person types.
OWN_FIELDS = {"code", "currency", "locale", "zone", "page", "language", "state", "code_name", "tracking"}


def poisoned(value: Any, text: str) -> Any:
    """The same paper with `text` in every field that a person can type into."""
    if isinstance(value, str):
        return text
    if isinstance(value, tuple):
        return tuple(poisoned(item, text) for item in value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return dataclasses.replace(
            value,
            **{
                field.name: poisoned(getattr(value, field.name), text)
                for field in dataclasses.fields(value)
                if field.name not in OWN_FIELDS
            },
        )
    return value


def read(pdf: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(pdf))


def words_of(pdf: bytes) -> str:
    return " ".join(page.extract_text() for page in read(pdf).pages)


def box_of(pdf: bytes) -> tuple[float, float]:
    box = read(pdf).pages[0].mediabox
    return float(box.width), float(box.height)


def codes_of(pdf: bytes, *, scale: float = 3) -> set[tuple[str, str]]:
    """What an independent decoder sees on the first page: (kind, text)."""
    document = pypdfium2.PdfDocument(pdf)
    picture = document[0].render(scale=scale).to_pil()
    document.close()
    return {(found.format.name, found.text) for found in zxingcpp.read_barcodes(picture)}


def loose_fonts(pdf: bytes) -> list[str]:
    """The names of fonts that are used and not embedded."""
    loose, seen = [], False
    for page in read(pdf).pages:
        for font in page["/Resources"].get("/Font", {}).values():
            font = font.get_object()
            inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
            about = inner.get("/FontDescriptor")
            seen = True
            if about is None or not {"/FontFile", "/FontFile2", "/FontFile3"} & set(about.get_object()):
                loose.append(str(font["/BaseFont"]))
    assert seen, "the paper uses no font at all"
    return loose


def assert_sound_sheet(pdf: bytes, *, title: str = "") -> None:
    """Tagged, titled, in a stated language, every font embedded, nothing attached, no script."""
    reader = read(pdf)
    root = reader.root_object
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en-GB"
    assert reader.metadata is not None and title in str(reader.metadata.title)
    assert loose_fonts(pdf) == []
    assert not reader.attachments
    assert "/JavaScript" not in str(root.get("/Names", "")) and "/OpenAction" not in root


_MARKUP = (
    "<img src=file:///etc/passwd><link rel=attachment href=file:///etc/passwd><style>*{display:none}</style>"
    "</td></table><script>1</script>{% include 'x' %}{{ head }}"
)
_CONTROL = "a\x00b\x07c\x1bd\x7fe\u2028f\ufffeg\ud800h"
_TURNED = "\u202e21.00 $\u202c שלום مرحبا \u2066x\u2069"
_FAR = "Жук Ελλάδα 修理 수리 जाँच 😀👩\u200d🔧🔋\ufe0f e" + "\u0301" * 300
HOSTILE = {
    "markup and far letters": f"{_MARKUP} {_CONTROL} {_TURNED} {_FAR}",
    "control characters alone": _CONTROL,
    "long word": "W" * 10_000,
    "long text": "a board that does not wake " * 400,
    "empty": "",
}
