"""The bag's label: what lies in this bag, and whether it can hurt. No name, no address, no access code."""

from dataclasses import dataclass

from intake.papers.label import SIZES, Label


@dataclass(frozen=True)
class BagLabel:
    """`flag` is the safety word in large white on black, such as 'Quarantine'; empty when all is sound."""

    code: str
    device: str
    bag: str
    flag: str = ""
    language: str = "en-GB"


def bag_label_pdf(label: BagLabel, *, size: str = "62x29") -> bytes:
    """The label as PDF of exactly that size, 62 x 29 mm unless told."""
    pen = Label(size, title=f"Bag label {label.code}", language=label.language)
    wide, tall = SIZES[size]
    side = min(17.0, tall * 0.6)
    left, room = 2.0, wide - side - 4
    pen.text(label.code, (left, 1.4, room, 7), face="Plate", points=18)
    pen.text(label.device, (left, 8.4, room, 5.6), points=8)
    pen.text(
        f"Bag {label.bag}" if label.bag else "No bag yet", (left, 14.2, room, 4.6), face="Gauge", points=9
    )
    pen.qr(label.code, wide - side - 1, 1, side)
    if label.flag:
        pen.bar(wide - side - 1, side + 1.2, side, tall - side - 2.4)
        pen.text(
            label.flag.upper(), (wide - side, side + 2.4, side - 2, tall - side - 4.4),
            face="Plate", points=12, centred=True, white=True,
        )  # fmt: skip
    bars = room + 2 if label.flag else wide - 2
    pen.code128(label.code, (1, tall - 9.6, bars, 8.6))
    return pen.pdf()
