"""From the rows of an order to its repair report: the pairs, the parts, the tests, what could not be tested."""

import logging
import re
from zoneinfo import ZoneInfo

from intake.makers import customer_name, head_of
from intake.models import Order, Paper, Photo
from intake.papers.head import Snap
from intake.stations import Outcome
from quotes import decisions
from quotes.agreed import agreed_lines, agreed_warranty_days
from quotes.models import Finding, Quote, Reading
from quotes.part_words import named_as
from quotes.reading_words import amount, should_be
from quotes.verdicts import OK, UNKNOWN
from shop.bench.test_limits import OUT
from shop.bench.test_rows import rows_with, same_place
from shop.branches import copies
from shop.models import TestRow, TestRun
from shop.papers.photo_pair import at_one_scale
from shop.papers.repair_report import ReadingPair, RepairReport, repair_report_pdf
from shop.papers.repair_report import TestRow as ReportRow
from shop.pictures import marked

log = logging.getLogger(__name__)
MOST_PAIRS = 8
VERDICTS = {OK: "in order", UNKNOWN: ""}
OUTCOMES = {
    "mend": "Mended and tested.",
    "data": "The data was saved. The device itself is not mended.",
    "clean": "Cleaned and tested, without a promise.",
}
PART = "Mended in part, and that part is tested."
# How a fault class or a customer's tick says that liquid was in it. Common practice, no source.
WET = ("liquid", "corrosion", "wet", "water")


def reading_pairs(order: Order) -> list[tuple[Reading, Reading]]:
    """Readings before and after at the same board, point, mode and polarity; the newest of each, those that were bad first."""
    before: list[Reading] = []
    pairs: list[tuple[Reading, Reading]] = []
    for row in order.readings.filter(superseded_by__isnull=True):
        if row.phase == "before":
            before = [*(one for one in before if not same_place(one, row)), row]
        elif first := next((one for one in before if same_place(one, row)), None):
            pairs = [*(pair for pair in pairs if not same_place(pair[0], row)), (first, row)]
    return sorted(pairs, key=lambda pair: (pair[0].verdict not in OUT, pair[0].pk))


def shown(row: Reading) -> str:
    return amount(row.value, row.special, row.prefix, row.unit)


def pair_of(first: Reading, last: Reading) -> ReadingPair:
    limits = last if last.low is not None or last.high is not None else first
    return ReadingPair(
        place=first.point,
        should_be=should_be(limits.low, limits.high, limits.prefix, limits.unit)
        or last.expected_special
        or first.expected_special,
        before=shown(first),
        after=shown(last),
        verdict_after=VERDICTS.get(last.verdict, last.verdict),
        known_from=_known_from(last if last.expected_from else first),
        how=", ".join(filter(None, (last.mode, last.polarity, last.state))),
        meter=last.meter,
    )


def _known_from(row: Reading) -> str:
    """Where the limits come from; the count is said once."""
    if row.expected_n is None or f"n={row.expected_n}" in row.expected_from.replace(" ", ""):
        return row.expected_from
    return f"{row.expected_from or 'own good boards'}, n={row.expected_n}"


def _newest(order: Order, *roles: str) -> Photo | None:
    """Of what the customer may see, the newest photo of the first role that has one."""
    for role in roles:
        photo = order.photos.filter(role=role, shown=True).order_by("-taken_at", "-id").first()
        if photo is not None:
            return photo
    return None


def _snap(photo: Photo | None) -> Snap | None:
    if photo is None:
        return None
    try:
        return Snap(photo.caption or photo.get_role_display(), marked.bytes_of(photo))
    except OSError:
        # The report of a mended device is worth more than its picture.
        log.warning("The file of photo %s is lost; the report goes without it.", photo.pk)
        return None


def photo_pair(order: Order) -> tuple[Snap | None, Snap | None, bool]:
    """Before and after with their marks, and whether they are drawn at one scale."""
    before = _snap(_newest(order, Photo.Role.FAULT, Photo.Role.BEFORE))
    after = _snap(_newest(order, Photo.Role.AFTER))
    if before is None or after is None:
        return before, after, False
    first, second, same = at_one_scale(before.jpeg, after.jpeg)
    return Snap(before.caption, first), Snap(after.caption, second), same


def parts_of(order: Order, quote: Quote | None) -> list[str]:
    """What was agreed and fitted, each with its condition where it is not new; then what was fitted beyond that."""
    lines = [line for line in (agreed_lines(quote.decision) if quote else ()) if line.part_id]
    fitted: dict[int, int] = {}
    moves = list(order.moves.filter(kind="consume").select_related("part"))
    for move in moves:
        fitted[move.part_id] = fitted.get(move.part_id, 0) - move.on_hand_change
    named = {line.part_id: named_as(line.text, line.condition) for line in lines}
    for move in moves:
        if fitted[move.part_id] > 0:
            named.setdefault(move.part_id, named_as(move.part.name, move.part.get_condition_display()))
    return list(named.values())


def was_wet(order: Order, finding: Finding | None) -> bool:
    said = " ".join([*map(str, order.before), finding.fault_class if finding else ""]).casefold()
    return any(re.search(rf"\b{word}", said) for word in WET)


def _outcome(order: Order, run: TestRun, quote: Quote | None) -> str:
    if not run.passed:
        return "Not mended."
    if order.outcome == Outcome.PART_FIXED:
        return PART
    if order.outcome == Outcome.DATA_ONLY:
        return OUTCOMES["data"]
    return OUTCOMES[quote.decision.choice if quote else "mend"]


def _row(row: TestRow) -> ReportRow:
    soaked = _soak_words(row)
    return ReportRow(
        row.text, row.get_result_display(), ". ".join(filter(None, (row.reading, soaked, row.reason)))
    )


def _soak_words(row: TestRow) -> str:
    if row.soak_started_at is None or row.soak_ended_at is None:
        return ""
    return f"ran for {int((row.soak_ended_at - row.soak_started_at).total_seconds() // 60)} minutes"


def report_of(paper: Paper) -> RepairReport:
    order = paper.order
    run = TestRun.objects.select_related("by", "second_by", "sheet").get(pk=paper.ref)
    finding = order.findings.order_by("-at", "-id").first()
    quote = decisions.agreed_quote(order)
    before, after, one_scale = photo_pair(order)
    promised = quote is not None and order.outcome in (Outcome.FIXED, Outcome.PART_FIXED)
    return RepairReport(
        head=head_of(paper.letterhead),
        code=order.code,
        customer=customer_name(order),
        device=order.device.what,
        outcome=_outcome(order, run, quote),
        finding=finding.words if finding else "",
        done_on=(run.signed_at or run.started_at).astimezone(ZoneInfo(paper.letterhead.zone)).date(),
        tested_by=run.by.initials,
        second_by=run.second_by.initials if run.second_by else "",
        list_version=run.sheet.version,
        steps=tuple(order.steps.filter(done_at__isnull=False).values_list("text", flat=True)),
        parts=tuple(parts_of(order, quote)),
        readings=tuple(pair_of(first, last) for first, last in reading_pairs(order)[:MOST_PAIRS]),
        before=before,
        after=after,
        one_scale=one_scale,
        tests=tuple(_row(row) for row in run.rows.all()),
        not_tested=tuple(rows_with(run, TestRow.Result.CANNOT)),
        bad_already=tuple(rows_with(run, TestRow.Result.ALREADY)),
        serial=order.device.serial,
        warranty_words=quote.letterhead.warranty_words if quote else "",
        warranty_days=agreed_warranty_days(quote.decision) if quote and promised else 0,
        after_liquid=was_wet(order, finding),
        copied=tuple(copies.said_of(order)),
    )


def repair_report(paper: Paper) -> bytes:
    return repair_report_pdf(report_of(paper))
