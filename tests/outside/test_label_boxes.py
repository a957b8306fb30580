"""The sizes of pages in points of 1/72 inch.

Sources: ISO 216 (A4 210 x 297 mm, A6 105 x 148 mm); Letter 8.5 x 11 in, ANSI/ASME Y14.1 size A (from memory);
25.4 mm to the inch by definition (international yard and pound, 1959); PDF's point of 1/72 inch, ISO 32000.
"""

import dataclasses
from typing import Any

import pytest

from intake.papers.address_label import address_label_pdf
from intake.papers.bag_label import bag_label_pdf
from intake.papers.html import pdf_from_html
from intake.papers.quarantine_slip import quarantine_slip_pdf
from shop.papers.lot_label import LotLabel, lot_label_pdf
from shop.papers.return_label import return_label_pdf
from tests.paper_samples import (
    BAG,
    INTAKE_SHEETS,
    LABEL,
    QUOTES_SHEETS,
    RETURN,
    SHOP_SHEETS,
    SLIP,
    box_of,
)

PARCEL = {"100x150": (283.46, 425.20), "4x6": (288.0, 432.0), "A6": (297.64, 419.53)}
LETTER_SIZE = {"A4": (595.28, 841.89), "Letter": (612.0, 792.0)}
SHEETS = INTAKE_SHEETS | QUOTES_SHEETS | SHOP_SHEETS


@pytest.mark.parametrize("size", PARCEL)
def test_parcel_labels_are_exact(size: str) -> None:
    assert box_of(address_label_pdf(LABEL, size=size)) == pytest.approx(PARCEL[size], abs=0.01)
    assert box_of(return_label_pdf(RETURN, size=size)) == pytest.approx(PARCEL[size], abs=0.01)


def test_bag_label_lot_label_and_quarantine_slip_are_exact() -> None:
    assert box_of(bag_label_pdf(BAG)) == pytest.approx((175.75, 82.20), abs=0.01)
    assert box_of(lot_label_pdf(LotLabel("L-0001", "WIRE-002", "Wire"))) == pytest.approx(
        (175.75, 82.20), abs=0.01
    )
    assert box_of(quarantine_slip_pdf(SLIP)) == pytest.approx(PARCEL["A6"], abs=0.01)


@pytest.mark.parametrize("page", LETTER_SIZE)
@pytest.mark.parametrize("name", SHEETS)
def test_sheets_are_exact(name: str, page: str) -> None:
    paper: Any
    paper, make = SHEETS[name]
    paper = dataclasses.replace(paper, head=dataclasses.replace(paper.head, page=page))
    assert box_of(make(paper, press=pdf_from_html)) == pytest.approx(LETTER_SIZE[page], abs=0.01)
