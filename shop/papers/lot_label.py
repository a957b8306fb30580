"""The label for a bag of parts: its lot, its part and its bin, so that a bad lot is found again."""

from dataclasses import dataclass

from intake.papers.label import SIZES, Label


@dataclass(frozen=True)
class LotLabel:
    """`number` is the lot's, printed as Code 128; `condition` is empty for new parts; `marks` are the supplier's."""

    number: str
    part: str
    name: str
    bin: str = ""
    condition: str = ""
    supplier: str = ""
    marks: str = ""
    came: str = ""
    language: str = "en-GB"


def lot_label_pdf(label: LotLabel, *, size: str = "62x29") -> bytes:
    """The label as PDF of exactly that size, 62 x 29 mm unless told. Raises ValueError for a number no bar code holds."""
    pen = Label(size, title=f"Lot label {label.number}", language=label.language)
    wide, tall = SIZES[size]
    left, half = 2.0, wide / 2 - 2
    pen.text(label.number, (left, 1.2, half, 7), face="Plate", points=17)
    pen.text(label.part, (wide / 2, 1.2, half, 4.8), face="Gauge", points=10, least=6)
    where = f"Bin {label.bin}" if label.bin else "No bin yet"
    pen.text(where, (wide / 2, 5.8, half, 3.4), face="Gauge", points=8)
    name = f"{label.name}, {label.condition}" if label.condition else label.name
    pen.text(name, (left, 8.8, wide - 4, 4.4), points=8)
    source = ", ".join(word for word in (label.supplier, label.marks, label.came) if word)
    pen.text(source, (left, 13.6, wide - 4, 4), points=7)
    pen.code128(label.number, (1, tall - 10.6, wide - 2, 9.4))
    return pen.pdf()
