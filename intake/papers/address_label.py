"""A parcel's label: to, from, the post's marks, and one code. The same layout goes in and out of the shop."""

from dataclasses import dataclass

from intake.papers.label import SIZES, Label

PARCEL_SIZES = ("100x150", "4x6", "A6")
MARK_HEIGHT = 12.5


@dataclass(frozen=True)
class AddressLabel:
    """`code` is the order's code, or a tracking number; `code_name` the words above it.

    `post_marks` are printed large, as the post asks for them; `note` is one small line, such as their source.
    """

    send_to: tuple[str, ...]
    sender: tuple[str, ...]
    code: str
    code_name: str = "Order"
    post_marks: tuple[str, ...] = ()
    note: str = ""
    service: str = ""
    language: str = "en-GB"
    with_qr: bool = True


def address_label_pdf(label: AddressLabel, *, size: str = "100x150", title: str = "") -> bytes:
    """The label as PDF of exactly that size. Raises ValueError for a size or code that cannot be printed."""
    if size not in PARCEL_SIZES:
        raise ValueError(f"A parcel label is one of {', '.join(PARCEL_SIZES)}.")
    pen = Label(size, title=title or f"Address label {label.code}", language=label.language)
    edge = 5.0
    width, height = SIZES[size][0] - 2 * edge, SIZES[size][1]
    pen.text("From", (edge, 4, 12, 4), points=7)
    pen.text(label.sender, (edge + 12, 4, width - 12, 20), points=9)
    if label.service:
        pen.text(label.service, (edge, 16, 12, 8), face="Plate", points=8)
    pen.rule(edge, 25, width, points=1.6)
    marks = label.post_marks[:3]
    code_top = height - 33
    marks_top = code_top - 3 - len(marks) * (MARK_HEIGHT + 1.5) - (6 if label.note else 0)
    pen.text("To", (edge, 27, 12, 4), points=7)
    pen.text(label.send_to, (edge, 31, width, marks_top - 33), points=20)
    top = marks_top
    for mark in marks:
        pen.frame(edge, top, width, MARK_HEIGHT, points=1.6)
        pen.text(
            mark.upper(),
            (edge + 2, top + 2.6, width - 4, MARK_HEIGHT - 4),
            face="Plate",
            points=22,
            centred=True,
        )
        top += MARK_HEIGHT + 1.5
    if label.note:
        pen.text(label.note, (edge, top, width, 6), points=6.5)
    _codes(pen, label, edge, code_top, width)
    return pen.pdf()


def _codes(pen: Label, label: AddressLabel, edge: float, top: float, width: float) -> None:
    pen.rule(edge, top, width, points=1.6)
    room = width - 27 if label.with_qr else width
    pen.text(f"{label.code_name} {label.code}", (edge, top + 2, room, 6), face="Gauge", points=12)
    pen.code128(label.code, (edge, top + 8.5, room, 18))
    if label.with_qr:
        pen.qr(label.code, edge + width - 26, top + 2, 26)
