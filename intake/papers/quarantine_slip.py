"""The slip that goes with a damaged cell into the quarantine place: what it is, since when, what not to do."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from intake.papers.label import SIZES, Label

# Common practice, no source; the words defer to local rules. A person trained for it decides what happens next.
DO_NOT = ("Do not charge", "Do not press, bend or pierce", "Do not post")
KEEP = (
    "Keep it alone, in its own container with filling that does not burn, away from ways out and from anything "
    "that burns. Look at it again before you leave. Smoke, heat or hissing: go out and call the fire service."
)
RULES = "Local waste and fire rules go first. Hand it only to a point licensed to take damaged lithium cells."


@dataclass(frozen=True)
class QuarantineSlip:
    """`found_at` is aware; `seen` says what was seen (swollen, hot, leaking). No personal data."""

    code: str
    device: str
    found_at: datetime
    found_by: str
    seen: str
    place: str = ""
    zone: str = "UTC"
    local_rule: str = RULES
    language: str = "en-GB"


def quarantine_slip_pdf(slip: QuarantineSlip, *, size: str = "A6") -> bytes:
    pen = Label(size, title=f"Quarantine slip {slip.code}", language=slip.language)
    edge = 6.0
    width, tall = SIZES[size][0] - 2 * edge, SIZES[size][1]
    pen.bar(0, 0, SIZES[size][0], 25)
    pen.text("Quarantine", (edge, 3, width, 12), face="Plate", points=32, white=True)
    pen.text("Damaged lithium cell", (edge, 16, width, 7), face="Plate", points=16, white=True)
    top = 29.0
    for words in DO_NOT:
        pen.frame(edge, top, width, 10, points=1.6)
        pen.text(words, (edge + 3, top + 1.8, width - 6, 8), face="Plate", points=18)
        top += 11.5
    when = slip.found_at.astimezone(ZoneInfo(slip.zone)).strftime("%d %b %Y, %H:%M")
    top += 1
    top += pen.text(f"{slip.code}  {slip.device}", (edge, top, width, 10), face="ReadBold", points=10) + 0.8
    top += pen.text(f"Seen: {slip.seen}", (edge, top, width, 12), points=9) + 0.6
    where = f" Place: {slip.place}." if slip.place else ""
    top += pen.text(f"Set aside {when} by {slip.found_by}.{where}", (edge, top, width, 9), points=9) + 1.5
    pen.text(f"{KEEP}\n{slip.local_rule}", (edge, top, width, tall - 22 - top), points=9.5)
    pen.rule(edge, tall - 21, width)
    pen.code128(slip.code, (edge, tall - 18, width - 20, 13))
    pen.qr(slip.code, edge + width - 19, tall - 20, 19)
    return pen.pdf()
