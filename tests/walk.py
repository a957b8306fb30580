"""Walks an order to any station through the real actions, for tests that start there."""

import datetime as dt
import itertools
from decimal import Decimal

from intake import arrivals, submissions
from intake.arrivals import Opened
from intake.models import Order, Person
from intake.request_answers import AddressAnswer, RequestAnswers
from intake.stations import Station
from quotes import billing, decisions, diagnosis, drafts, offers, payments
from quotes.decisions import Answer
from quotes.diagnosis import Found, Measured
from quotes.models import Decision, Part, Quote, Remedy
from shop.bench import repair, testing, work
from shop.returns import out

_numbers = itertools.count(1)

ADDRESS = AddressAnswer(
    name="Mara Ellwick", street="3 Nowhere Lane", city="Anytown", area="ZZ", postcode="00000", country="US"
)


def answers(**changes: object) -> RequestAnswers:
    """Mara's request, with changes."""
    given: dict[str, object] = {
        "kind": "phone",
        "make": "Zarnik",
        "model": "Z7",
        "colour": "grey",
        "serial": "ZZ-0417",
        "symptoms": ["Nobody hears me"],
        "words": "Rings but nobody hears me.",
        "idea": "The microphone is blown",
        "in_the_box": ["Phone", "Sleeve"],
        "name": "Mara Ellwick",
        "email": "mara.ellwick@example.com",
        "phone": "555-0101",
        "address": ADDRESS,
        "declared_value": Decimal("240.00"),
        "data_wish": "needed",
        "backed_up": "no",
        "lock_wish": "test without",
    }
    return RequestAnswers(**{**given, **changes})  # type: ignore[arg-type]


def request(*, at: dt.datetime, **changes: object) -> Order:
    """A sent request: 10 signed, 20 open."""
    order, _ = submissions.submit(answers=answers(**changes), form_key=f"walk-{next(_numbers)}", at=at)
    return order


def receive(order: Order, *, by: Person, at: dt.datetime, **changes: object) -> Order:
    given: dict[str, object] = {
        "parcel_state": "sound",
        "cell_state": "sound",
        "bag": arrivals.next_bag(),
        "contents": [{"what": what, "announced": True, "here": True} for what in order.in_the_box],
        "serial_read": order.device.serial,
        "weight_grams": 310,
        "minutes": 6,
    }
    arrivals.receive(
        order=order,
        seen_version=order.version,
        opened=Opened(**{**given, **changes}),
        by=by,
        at=at,  # type: ignore[arg-type]
    )
    order.refresh_from_db()
    return order


def find(order: Order, *, by: Person, at: dt.datetime, **changes: object) -> Order:
    diagnosis.take_reading(
        order=order,
        measured=Measured(
            typed="mic bias OL d", point="Microphone bias", mode="diode", special="OL", unit="V",
            polarity="red on ground", verdict="open", low=Decimal("0.43"), high=Decimal("0.47"),
            expected_from="own good boards, n=7",
        ),
        key=f"reading-{next(_numbers)}",
        by=by,
        at=at,
    )  # fmt: skip
    given: dict[str, object] = {
        "fault_class": "torn pad",
        "place": "Microphone bias line",
        "cause": "A pad lifted when the socket beside it was changed",
        "words": "The microphone is good. Its supply line is broken where a pad was lifted.",
        "mendable": "yes",
        "idea_answer": "not" if order.idea else "none",
        "idea_words": "The microphone itself is fine." if order.idea else "",
        "minutes": 18,
    }
    diagnosis.record_finding(
        order=order,
        seen_version=order.version,
        found=Found(**{**given, **changes}),  # type: ignore[arg-type]
        key=f"finding-{next(_numbers)}",
        by=by,
        at=at,
    )
    order.refresh_from_db()
    return order


def quote(
    order: Order,
    *,
    by: Person,
    at: dt.datetime,
    remedy: str = "Fit jumper wire",
    parts: tuple[str, ...] = ("WIRE-002",),
) -> Quote:
    draft = drafts.draft_of(order, at=at)
    lines = [{"kind": "labour", "remedy": Remedy.objects.get(name=remedy).pk, "quantity": "1"}]
    lines += [
        {"kind": "part", "part": Part.objects.get(number=number).pk, "quantity": "1"} for number in parts
    ]
    lines += [{"kind": "post", "text": "Return post", "quantity": "1"}]
    draft = drafts.save_draft(draft=draft, lines=lines, words="", promise=draft.promise, at=at)
    sent = offers.send(order=order, seen_version=order.version, seen_draft=draft.version, by=by, at=at)
    order.refresh_from_db()
    return sent


def answer(order: Order, *, choice: str = "mend", at: dt.datetime, name: str = "Mara Ellwick") -> Decision:
    open_one = decisions.open_quote(order)
    assert open_one is not None
    decision = decisions.decide(
        quote=open_one,
        answer=Answer(
            choice=choice,
            typed_name=name,
            digest=open_one.digest,
            button="Yes, mend it",
            consents=["wipe"] if choice == "recycle" else [],
        ),
        at=at,
    )
    order.refresh_from_db()
    return decision


def mend(order: Order, *, by: Person, at: dt.datetime) -> Order:
    for step in repair.lay_out_steps(order):
        repair.tick(step=step, done=True, by=by, at=at)
    agreed = decisions.agreed_quote(order)
    assert agreed is not None
    for line in agreed.lines.filter(part__isnull=False):
        repair.use_part(
            order=order,
            part=line.part,
            quantity=int(line.quantity),
            key=f"use-{next(_numbers)}",
            by=by,
            at=at,
        )
    work.write_down(order=order, kind="repair", minutes=42, by=by, at=at)
    repair.finish(order=order, seen_version=order.version, by=by, at=at)
    order.refresh_from_db()
    return order


def test_and_pass(order: Order, *, by: Person, at: dt.datetime) -> Order:
    diagnosis.take_reading(
        order=order,
        measured=Measured(
            typed="mic bias .452 d", point="Microphone bias", mode="diode", value=Decimal("0.452"), unit="V",
            polarity="red on ground", verdict="ok", low=Decimal("0.43"), high=Decimal("0.47"),
            expected_from="own good boards, n=7", phase="after",
        ),
        key=f"reading-{next(_numbers)}",
        by=by,
        at=at,
    )  # fmt: skip
    run = testing.lay_out(order=order, by=by, at=at)
    for row in run.rows.all():
        testing.mark(row=row, result="ok")
    work.write_down(order=order, kind="test", minutes=15, by=by, at=at)
    testing.sign_pass(order=order, seen_version=order.version, by=by, at=at)
    order.refresh_from_db()
    return order


def pay(order: Order, *, by: Person, at: dt.datetime, kind: str = "card") -> Order:
    payments.record_payment(
        order=order, kind=kind, amount=billing.balance(order), key=f"pay-{next(_numbers)}", by=by, at=at
    )
    return order


def send(order: Order, *, by: Person, at: dt.datetime) -> Order:
    out.send(
        order=order,
        seen_version=order.version,
        packed=out.Packed(
            carrier="Surface post",
            weight_grams=310,
            contents=[{"what": what, "packed": True} for what in out.contents_to_pack(order)],
            tracking="LA473124829ZZ",
            cost=Decimal("9.40"),
        ),
        address=order.return_address,
        key=f"parcel-{next(_numbers)}",
        by=by,
        at=at,
    )
    order.refresh_from_db()
    return order


def to(order: Order, station: Station, *, by: Person, at: dt.datetime) -> Order:
    """Walk a fresh request on to a station, everything going well."""
    steps = [
        (Station.DIAGNOSIS, lambda: receive(order, by=by, at=at)),
        (Station.QUOTE, lambda: find(order, by=by, at=at)),
        (Station.GO_AHEAD, lambda: quote(order, by=by, at=at)),
        (Station.REPAIR, lambda: answer(order, at=at)),
        (Station.TEST, lambda: mend(order, by=by, at=at)),
        (Station.GOODS_OUT, lambda: test_and_pass(order, by=by, at=at)),
        (Station.WAY_HOME, lambda: send(pay(order, by=by, at=at), by=by, at=at)),
        (Station.HOME, lambda: out.delivered(order=order, seen_version=order.version, by=by, at=at)),
    ]
    for target, step in steps:
        if order.station < target <= station:
            step()
            order.refresh_from_db()
    return order
