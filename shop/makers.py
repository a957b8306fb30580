"""From rows to the top floor's papers: repair report, return labels, packing slip, the sheet itself."""

import datetime as dt
from zoneinfo import ZoneInfo

from intake import cells
from intake.addressing import address_lines
from intake.makers import DATA_WISHES, customer_name, head_of, said, shop_lines, snaps
from intake.models import Letterhead, Order, Paper, Photo
from intake.paper_files import Maker, register
from intake.papers.head import Snap
from intake.stations import NAMES, ON_THE_SHEET
from intake.wording import day, moment
from intake.wording import minutes as minutes_in_words
from quotes import decisions
from quotes.agreed import agreed_lines
from quotes.models import Reading
from quotes.reading_words import amount, should_be
from shop.models import Parcel, TestRun
from shop.papers.packing_slip import PackedItem, PackingSlip, packing_slip_pdf
from shop.papers.repair_report import ReadingPair, RepairReport, repair_report_pdf
from shop.papers.repair_report import TestRow as ReportRow
from shop.papers.return_label import ReturnLabel, return_label_pdf
from shop.papers.traveller import SheetReading, StationRow, TravellerPaper, traveller_pdf


def reading_pairs(order: Order) -> list[tuple[Reading, Reading]]:
    """Readings before and after at the same point, mode and polarity; the newest of each."""
    before: dict[tuple[str, str, str], Reading] = {}
    pairs: dict[tuple[str, str, str], tuple[Reading, Reading]] = {}
    for row in order.readings.filter(superseded_by__isnull=True):
        place = (row.point.casefold(), row.mode, row.polarity)
        if row.phase == "before":
            before[place] = row
        elif place in before:
            pairs[place] = (before[place], row)
    return list(pairs.values())


def _shown(row: Reading) -> str:
    return amount(row.value, row.special, row.prefix, row.unit)


def _pair(first: Reading, last: Reading) -> ReadingPair:
    return ReadingPair(
        place=first.point,
        should_be=should_be(last.low, last.high, last.prefix, last.unit),
        before=_shown(first),
        after=_shown(last),
        verdict_after=last.verdict,
    )


def _first(order: Order, role: str) -> Snap | None:
    found = snaps(list(order.photos.filter(role=role).order_by("-taken_at")[:1]))
    return found[0] if found else None


OUTCOMES = {
    "mend": "Mended and tested.",
    "data": "The data was saved. The device itself is not mended.",
    "clean": "Cleaned and tested, without a promise.",
}


def _repair_report(paper: Paper) -> bytes:
    order = paper.order
    run = TestRun.objects.select_related("by").get(pk=paper.ref)
    finding = order.findings.order_by("-at").first()
    quote = decisions.agreed_quote(order)
    return repair_report_pdf(
        RepairReport(
            head=head_of(paper.letterhead),
            code=order.code,
            customer=customer_name(order),
            device=order.device.what,
            outcome=OUTCOMES[quote.decision.choice if quote else "mend"] if run.passed else "Not mended.",
            finding=finding.words if finding else "",
            done_on=(run.signed_at or run.started_at).astimezone(ZoneInfo(paper.letterhead.zone)).date(),
            tested_by=run.by.initials,
            steps=tuple(order.steps.filter(done_at__isnull=False).values_list("text", flat=True)),
            parts=tuple(
                f"{line.text} ({line.condition})"
                for line in (agreed_lines(quote.decision) if quote else ())
                if line.part_id
            ),
            readings=tuple(_pair(first, last) for first, last in reading_pairs(order)),
            before=_first(order, Photo.Role.FAULT) or _first(order, Photo.Role.BEFORE),
            after=_first(order, Photo.Role.AFTER),
            tests=tuple(
                ReportRow(
                    row.text, row.get_result_display(), " ".join(filter(None, (row.reading, row.reason)))
                )
                for row in run.rows.all()
            ),
            serial=order.device.serial,
            warranty_words=quote.letterhead.warranty_words if quote else "",
        )
    )


def _return_label(size: str) -> Maker:
    def draw(paper: Paper) -> bytes:
        parcel = Parcel.objects.filter(order=paper.order).first()
        profile = cells.PROFILES.get(paper.letterhead.post_profile, cells.PROFILES["plain"])
        label = ReturnLabel(
            code=paper.order.code,
            recipient=address_lines(
                parcel.address if parcel else paper.order.return_address, home=paper.letterhead.country
            ),
            sender=shop_lines(paper.letterhead),
            tracking=parcel.tracking if parcel else "",
            service=parcel.carrier if parcel else "",
            post_marks=profile.marks,
            post_marks_source=profile.source if profile.marks else "",
        )
        return return_label_pdf(label, size=size)

    return draw


def _packing_slip(paper: Paper) -> bytes:
    order = paper.order
    parcel = Parcel.objects.select_related("packed_by").get(pk=paper.ref)
    profile = cells.PROFILES.get(paper.letterhead.post_profile, cells.PROFILES["plain"])
    return packing_slip_pdf(
        PackingSlip(
            head=head_of(paper.letterhead),
            code=order.code,
            customer=customer_name(order),
            device=order.device.what,
            outcome=order.outcome,
            packed_at=parcel.sent_at,
            packed_by=parcel.packed_by.initials,
            items=tuple(
                PackedItem(str(item["what"]), came_in=True, goes_out=bool(item.get("packed")))
                for item in parcel.contents
            ),
            serial=order.device.serial,
            weight_grams=parcel.weight_grams,
            carrier=parcel.carrier,
            tracking=parcel.tracking,
            post_marks=profile.marks,
        )
    )


def sheet_paper(order: Order, *, at: dt.datetime) -> TravellerPaper:
    """The whole sheet as it stands at a moment; printed fresh each time, never kept."""
    letterhead = Letterhead.current()
    return TravellerPaper(
        head=head_of(letterhead),
        code=order.code,
        device=order.device.what,
        says=said(order),
        stations=tuple(_station_rows(order, ZoneInfo(letterhead.zone))),
        printed_at=at,
        serial=order.device.serial,
        bag=order.bag,
        idea=order.idea,
        data_wish=DATA_WISHES.get(order.data_wish, ""),
        return_by="By post, tracked",
        promised=day(order.promise) if order.promise else "",
        slips=tuple(f"{slip.reason}: {slip.note}" for slip in order.slips.filter(ended_at__isnull=True)),
    )


def _station_rows(order: Order, zone: ZoneInfo) -> list[StationRow]:
    lines = {line.station: line for line in order.lines.all()}
    readings = tuple(
        SheetReading(
            row.point,
            should_be(row.low, row.high, row.prefix, row.unit),
            _shown(row),
            out=row.verdict not in ("", "ok", "no own reading yet"),
        )
        for row in order.readings.filter(superseded_by__isnull=True)
    )
    rows = []
    for station in ON_THE_SHEET:
        line = lines.get(int(station))
        state = "later" if line is None else ("signed" if line.signed_at else "here")
        rows.append(
            StationRow(
                number=int(station),
                name=NAMES[station],
                state=state,
                text=line.note if line else "",
                initials=line.initials if line else "",
                when=moment(line.signed_at.astimezone(zone)) if line and line.signed_at else "",
                minutes=minutes_in_words(line.minutes) if line and line.minutes else "",
                readings=readings if station == 30 else (),
            )
        )
    return rows


def sheet_pdf(order: Order, *, at: dt.datetime) -> bytes:
    return traveller_pdf(sheet_paper(order, at=at))


def register_all() -> None:
    register("repair_report", _repair_report)
    register("packing_slip", _packing_slip)
    for size in ("100x150", "4x6", "a6"):
        register(f"return_label_{size}", _return_label(size.upper() if size == "a6" else size))
