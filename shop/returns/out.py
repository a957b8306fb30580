"""Station 80 and the way home: the gate, the parcel, delivery, warranty, recycling."""

import datetime as dt
import zoneinfo
from dataclasses import dataclass, field
from decimal import Decimal

from intake import history, letters, lifecycle
from intake.history import in_turn
from intake.house import house
from intake.lifecycle import staff
from intake.models import Address, Letterhead, Order, Person
from intake.refusals import Refused
from intake.stations import Outcome, SlipReason, Station
from quotes import billing, decisions
from quotes.agreed import agreed_warranty_days
from quotes.trade_terms import goes_on_account
from shop.branches import copies, unrepaired
from shop.models import Override, Parcel, Warranty, WipeRecord
from shop.returns.carriers import check_tracking
from shop.returns.gate_rule import why_not
from shop.returns.on_account import may_go_on_account
from shop.vault import unlocking

LABEL_SIZES = {"100x150": "100 x 150 mm", "4x6": "4 x 6 in", "a6": "A6"}


@dataclass(frozen=True)
class Packed:
    """What was packed. `contents` repeats goods in: [{what, packed}]; `checked` names what was looked at of `unrepaired.CHECKS`."""

    carrier: str
    weight_grams: int
    contents: list[dict[str, object]] = field(default_factory=list)
    tracking: str = ""
    cost: Decimal = Decimal(0)
    minutes: int | None = None
    checked: tuple[str, ...] = ()


def gate(order: Order) -> str:
    """Why the parcel may not leave yet, in one sentence; "" when it may."""
    return why_not(
        at_goods_out=order.station == Station.GOODS_OUT,
        slips=set(order.slips.filter(ended_at__isnull=True).values_list("reason", flat=True)),
        owed=billing.balance(order),
        currency=order.currency,
        let_go=Override.objects.filter(order=order).exists(),
        on_account=may_go_on_account(order),
        trade=goes_on_account(order.customer),
        locale=house().locale,
    )


@in_turn
def let_go_unpaid(*, order: Order, reason: str, by: Person, at: dt.datetime) -> Override:
    """A person lets it go unpaid and says why; it stands on the sheet for good."""
    if not reason.strip():
        raise Refused("Say why it may go unpaid.", field="reason")
    owed = billing.balance(order)
    override, made = Override.objects.get_or_create(
        order=order, defaults={"reason": reason.strip()[:300], "owed": owed, "at": at, "by": by}
    )
    if made:
        history.record(order=order, what="let go unpaid", by=by.username, at=at, facts={"owed": str(owed)})
    return override


def contents_to_pack(order: Order) -> list[str]:
    """What came in and must go back."""
    arrival = getattr(order, "arrival", None)
    if arrival is None:
        return ["Device"]
    return [str(item["what"]) for item in arrival.contents if item.get("here")] or ["Device"]


@in_turn
def send(
    *,
    order: Order,
    seen_version: int,
    packed: Packed,
    address: Address,
    key: str,
    by: Person,
    at: dt.datetime,
) -> Parcel:
    """Hand the parcel to the post: gate, packing equal to goods in, weight, tracking; letter on its way."""
    known = Parcel.objects.filter(key=key).first()
    if known is not None:
        return known
    if Parcel.objects.filter(order=order).exists():
        raise lifecycle.SheetMoved("This was handed to the post already. Here is how it stands now.")
    if order.outcome == Outcome.RECYCLED:
        raise Refused("This one is to be recycled, not sent.")
    if barred := gate(order):
        raise Refused(barred)
    parcel = _parcel_row(order, packed, address=address, key=key, by=by, at=at)
    lifecycle.advance(
        order,
        to=Station.WAY_HOME,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note=_packed_note(order, packed, parcel),
        minutes=packed.minutes,
        facts={"carrier": parcel.carrier, "weight": packed.weight_grams},
    )
    Order.objects.filter(pk=order.pk).update(sent_at=at)
    order.sent_at = at
    copies.handed_over(order=order, at=at)
    unlocking.erase(order=order, why="The device was posted home", by=by.username, at=at)
    owed = billing.balance(order)
    letters.tell(order, kind="on_its_way", ref=parcel.pk, at=at, parcel=parcel, owed=owed)
    _papers_for_the_box(order, parcel, at)
    return parcel


def _packed_note(order: Order, packed: Packed, parcel: Parcel) -> str:
    note = f"Packed as it came, {packed.weight_grams} g, {parcel.carrier} {parcel.tracking}".strip() + "."
    looked = [words for name, words in unrepaired.checks_of(order.outcome).items() if name in packed.checked]
    return f"{note} Looked at: {'; '.join(looked)}." if looked else note


def _parcel_row(
    order: Order, packed: Packed, *, address: Address, key: str, by: Person, at: dt.datetime
) -> Parcel:
    scheme = check_packing(order, packed)
    return Parcel.objects.create(
        order=order,
        key=key,
        address=address,
        carrier=packed.carrier.strip()[:60],
        tracking=packed.tracking.strip().upper()[:40],
        tracking_scheme=scheme[:20],
        weight_grams=packed.weight_grams,
        contents=packed.contents,
        cost=packed.cost,
        packed_by=by,
        sent_at=at,
    )


def _papers_for_the_box(order: Order, parcel: Parcel, at: dt.datetime) -> None:
    letters.paper(
        order=order,
        maker="packing_slip",
        ref=parcel.pk,
        title="Packing slip",
        file_name=f"{order.code}-packing.pdf",
        at=at,
        for_customer=False,
    )
    titles = {f"return_label_{size}": f"Return label, {words}" for size, words in LABEL_SIZES.items()}
    letters.papers(order=order, ref=order.pk, at=at, titles=titles, for_customer=False)


def check_packing(order: Order, packed: Packed) -> str:
    """The scheme of the tracking number, "" for none known. Raises Refused for what may not be sent like this."""
    if not packed.carrier.strip():
        raise Refused("Say who carries it.", field="carrier")
    if not 0 < packed.weight_grams <= 50_000:
        raise Refused("The weight is between 1 and 50,000 grams.", field="weight_grams")
    if packed.cost < 0:
        raise Refused("The post cannot cost less than nought.", field="cost")
    ticked = {str(item["what"]) for item in packed.contents if item.get("packed")}
    missing = [what for what in contents_to_pack(order) if what not in ticked]
    if missing:
        raise Refused(f"Not packed yet: {', '.join(missing)}. It goes back as it came.", field="contents")
    if left := unrepaired.left_over(order.outcome, set(packed.checked)):
        raise Refused(f"Look first, then tick: {'; '.join(left)}.", field="checked")
    verdict = check_tracking(packed.tracking)
    if verdict.ok is False:
        raise Refused(verdict.sentence, field="tracking")
    return verdict.scheme or ""


@in_turn
def delivered(*, order: Order, seen_version: int, by: Person, at: dt.datetime) -> Order:
    """Home: the warranty starts on the day of delivery in the shop's zone."""
    lifecycle.must_stand_at(order, Station.WAY_HOME)
    Parcel.objects.filter(order=order).update(delivered_at=at)
    lifecycle.advance(order, to=Station.HOME, seen_version=seen_version, by=staff(by), at=at)
    warranty = _start_warranty(order, at)
    letters.tell(
        order,
        kind="home",
        ref=order.pk,
        at=at,
        warranty=warranty,
    )
    return order


def _start_warranty(order: Order, at: dt.datetime) -> Warranty | None:
    quote = decisions.agreed_quote(order)
    if order.outcome not in (Outcome.FIXED, Outcome.PART_FIXED) or quote is None:
        return None
    days = agreed_warranty_days(quote.decision)
    if not days:
        return None
    starts = at.astimezone(zoneinfo.ZoneInfo(Letterhead.current().zone)).date()
    warranty, _ = Warranty.objects.get_or_create(
        order=order,
        defaults={
            "starts": starts,
            "ends": starts + dt.timedelta(days=days),
            "covers": quote.letterhead.warranty_words[:300] or "The work done and the parts fitted.",
        },
    )
    return warranty


@in_turn
def recycle(*, order: Order, seen_version: int, method: str, by: Person, at: dt.datetime) -> Order:
    """Wipe record first, then the order is closed; nothing is sent."""
    if WipeRecord.objects.filter(order=order).exists():
        raise lifecycle.SheetMoved("This was wiped and closed already. Here is how it stands now.")
    if order.outcome != Outcome.RECYCLED:
        raise Refused("The customer has not asked for recycling.")
    if order.slips.filter(reason=SlipReason.QUARANTINE, ended_at__isnull=True).exists():
        raise Refused("Its battery is in quarantine. Say first, on its slip, how that ended.")
    close_wiped(
        order, seen_version=seen_version, method=method, by=by, at=at, note="", outcome=Outcome.RECYCLED
    )
    return order


def close_wiped(
    order: Order,
    *,
    seen_version: int,
    method: str,
    by: Person,
    at: dt.datetime,
    note: str,
    outcome: Outcome | None = None,
    facts: dict[str, object] | None = None,
) -> None:
    """What every way of recycling ends with: the code erased, the record of the wipe, the sheet closed, the letter."""
    wiped = method.strip()
    if not wiped:
        raise Refused("Say how the data was wiped: clear, purge or destroy, and with what.", field="method")
    unlocking.erase(order=order, why="The device is wiped and recycled", by=by.username, at=at)
    WipeRecord.objects.create(order=order, method=wiped[:200], at=at, by=by)
    lifecycle.advance(
        order,
        to=Station.HOME,
        seen_version=seen_version,
        by=staff(by),
        at=at,
        note=f"{note} Wiped: {wiped}".strip(),
        outcome=outcome,
        facts=facts,
    )
    letters.tell(order, kind="recycled", ref=order.pk, at=at, method=wiped)
