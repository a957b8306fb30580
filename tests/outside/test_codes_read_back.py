"""The printed codes, read back from the picture of the page by a decoder that is not ours.

Sources: Code 128, ISO/IEC 15417; QR, ISO/IEC 18004; decoder: zxing-cpp, which shares no code with
ReportLab or segno. Check sums of Code 128: PJJ123C has 54 in code set A, as widely published (55 in set B).
"""

import base64

import pytest

from intake.papers.address_label import PARCEL_SIZES, address_label_pdf
from intake.papers.bag_label import BagLabel, bag_label_pdf
from intake.papers.codes import code128_bars, code128_svg, qr_svg
from intake.papers.html import pdf_from_html
from intake.papers.quarantine_slip import quarantine_slip_pdf
from intake.papers.shipping_form import shipping_form_pdf
from shop.papers.lot_label import LotLabel, lot_label_pdf
from shop.papers.packing_slip import packing_slip_pdf
from shop.papers.return_label import return_label_pdf
from shop.papers.traveller import traveller_pdf
from tests.paper_samples import BAG, CODE, FORM, LABEL, PACKING, RETURN, SLIP, TRAVELLER, codes_of

BOTH = {("Code128", CODE), ("QRCode", CODE)}


def test_shipping_form_reads_back() -> None:
    assert codes_of(shipping_form_pdf(FORM, press=pdf_from_html)) == BOTH


@pytest.mark.parametrize("size", PARCEL_SIZES)
def test_address_label_reads_back(size: str) -> None:
    assert codes_of(address_label_pdf(LABEL, size=size)) == BOTH


# 203 dots an inch is the coarse common head of a label printer (common practice, no source).
@pytest.mark.parametrize("flag", ["", "Quarantine"])
@pytest.mark.parametrize("dots", [203, 300])
def test_bag_label_reads_back_at_printer_grain(flag: str, dots: int) -> None:
    assert codes_of(bag_label_pdf(BagLabel(CODE, BAG.device, "B-31", flag)), scale=dots / 72) == BOTH


@pytest.mark.parametrize("dots", [203, 300])
@pytest.mark.parametrize("number", ["L-0001", "L-98765"])
def test_lot_label_reads_back_at_printer_grain(number: str, dots: int) -> None:
    label = LotLabel(
        number,
        "CHG-L22/7B-0402",
        "Charge chip " * 9,
        "C12",
        "from a donor board",
        "Tin Street Parts",
        "2405 B",
    )
    assert codes_of(lot_label_pdf(label), scale=dots / 72) == {("Code128", number)}


def test_quarantine_slip_reads_back() -> None:
    assert codes_of(quarantine_slip_pdf(SLIP)) == BOTH


def test_traveller_and_packing_slip_read_back() -> None:
    assert codes_of(traveller_pdf(TRAVELLER, press=pdf_from_html)) == BOTH
    assert codes_of(packing_slip_pdf(PACKING, press=pdf_from_html)) == BOTH


def test_return_label_reads_back_the_tracking_number() -> None:
    assert codes_of(return_label_pdf(RETURN)) == {("Code128", "LA473124829ZZ")}


@pytest.mark.parametrize("text", ["PJJ123C", "HI345678", "ABCDEF", "abcdef", "345678", "A-1", "7", "~ {}|"])
def test_code128_of_any_plain_text_reads_back(text: str) -> None:
    markup = f'<img src="{code128_svg(text)}" alt="x">'
    assert codes_of(pdf_from_html(markup, title="t", language="en-GB")) == {("Code128", text)}


@pytest.mark.parametrize("text", [CODE, "https://bench.example/s/" + "k" * 40, "Grüße"])
def test_qr_of_any_text_reads_back(text: str) -> None:
    markup = f'<img src="{qr_svg(text)}" alt="x">'
    assert codes_of(pdf_from_html(markup, title="t", language="en-GB")) == {("QRCode", text)}


@pytest.mark.parametrize("text", ["", "é", "a\nb", "x" * 81])
def test_code128_refuses_what_it_cannot_hold(text: str) -> None:
    with pytest.raises(ValueError, match="bar code holds"):
        code128_bars(text)


def test_code128_has_its_quiet_zones_and_true_module() -> None:
    bars, width = code128_bars(CODE)
    assert bars[0][0] == 10 and width - (bars[-1][0] + bars[-1][1]) == 10
    svg = base64.b64decode(code128_svg(CODE).partition(",")[2]).decode()
    assert f'width="{width * 0.33:.2f}mm"' in svg
    assert "class" not in svg and "class" not in base64.b64decode(qr_svg(CODE).partition(",")[2]).decode()
