"""From rows to the top floor's papers: return labels, packing slip, the sheet itself; the report has its own place."""

import datetime as dt
from zoneinfo import ZoneInfo

from intake import cells
from intake.addressing import address_lines, shop_lines
from intake.makers import DATA_WISHES, customer_name, head_of, said
from intake.models import Letterhead, Order, Paper
from intake.paper_files import Maker, register
from intake.stations import NAMES, ON_THE_SHEET
from intake.wording import day, moment
from intake.wording import minutes as minutes_in_words
from quotes.reading_words import should_be
from shop.books.months import paper as books_month
from shop.branches import quarantine, unrepaired
from shop.models import Parcel
from shop.papers.packing_slip import PackedItem, PackingSlip, packing_slip_pdf
from shop.papers.return_label import ReturnLabel, return_label_pdf
from shop.papers.traveller import SheetReading, StationRow, TravellerPaper, traveller_pdf
from shop.repair_reports import repair_report, shown


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


OUTCOMES = {"own damage": "Damaged by us; nothing is billed"}


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
            outcome=OUTCOMES.get(order.outcome, order.outcome),
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
            post_marks=() if quarantine.cell_now(order) == "none" else profile.marks,
            looked_at=tuple(unrepaired.checks_of(order.outcome).values()),
            without=quarantine.WITHOUT
            if quarantine.cell_now(order) == "none" and quarantine.battery_is_out(order)
            else "",
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
            should_be(row.low, row.high, row.prefix, row.unit) or row.expected_special,
            shown(row),
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
    books_month.register_all()
    register("repair_report", repair_report)
    register("packing_slip", _packing_slip)
    for size in ("100x150", "4x6", "a6"):
        register(f"return_label_{size}", _return_label(size.upper() if size == "a6" else size))
