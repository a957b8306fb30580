"""One step of an order each, with everything that can be said left to its usual value.

The demonstration's world and the tests walk with these; each step is the real action.
"""

import datetime as dt
import hashlib
import secrets
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from intake import arrivals
from intake.arrivals import Opened
from intake.models import Order, Person
from quotes import billing, decisions, diagnosis, drafts, lots, offers, payments
from quotes.agreed import agreed_lines
from quotes.decisions import Answer
from quotes.diagnosis import Found, Measured
from quotes.models import Decision, Part, Quote, Remedy
from shop.bench import repair, soaks, testing, work
from shop.branches import copies, unrepaired
from shop.branches.digest_lines import line_of
from shop.models import TestRow
from shop.returns import out

BAD = Measured(
    typed="microphone bias OL d",
    point="Microphone bias",
    mode="diode",
    special="OL",
    unit="V",
    polarity="red on ground",
    verdict="open",
    low=Decimal("0.43"),
    high=Decimal("0.47"),
    expected_from="own good boards, n=7",
)
GOOD = Measured(
    **{
        **vars(BAD),
        "typed": "microphone bias .452 d",
        "special": "",
        "value": Decimal("0.452"),
        "verdict": "ok",
        "phase": "after",
    }
)
FOUND = {
    "fault_class": "torn pad",
    "place": "Microphone bias line",
    "cause": "A pad lifted when the socket beside it was changed",
    "words": "The microphone is good. Its supply line is broken where a pad was lifted.",
    "mendable": "yes",
    "minutes": 18,
}


def receive(order: Order, *, by: Person, at: dt.datetime, **changes: Any) -> Order:
    """Sign 20 with all that was announced in the box."""
    given: dict[str, Any] = {
        "parcel_state": "sound",
        "cell_state": "sound",
        "bag": arrivals.next_bag(),
        "contents": [{"what": what, "announced": True, "here": True} for what in order.in_the_box],
        "serial_read": order.device.serial,
        "weight_grams": 310,
        "minutes": 6,
    }
    opened = Opened(**{**given, **changes})
    arrivals.receive(order=order, seen_version=order.version, opened=opened, by=by, at=at)
    order.refresh_from_db()
    return order


def read(order: Order, measured: Measured, *, by: Person, at: dt.datetime) -> None:
    diagnosis.take_reading(order=order, measured=measured, key=secrets.token_hex(8), by=by, at=at)


def find(order: Order, *, by: Person, at: dt.datetime, reading: Measured = BAD, **changes: Any) -> Order:
    """Measure, say what is wrong, sign 30."""
    read(order, reading, by=by, at=at)
    # Other words are about another place: the usual one does not go with them.
    elsewhere = {"place": "", "cause": ""} if "words" in changes else {}
    answer = changes.get("idea_answer", "not" if order.idea else "none")
    given: dict[str, Any] = {
        **FOUND,
        **elsewhere,
        "idea_answer": answer,
        "idea_words": "What you named is fine." if answer == "not" else "",
        "explains": tuple(dict.fromkeys(order.symptoms)),
    }
    found = Found(**{**given, **changes})
    if found.minutes:
        work.write_down(order=order, kind="look", minutes=found.minutes, by=by, at=at)
    diagnosis.record_finding(
        order=order, seen_version=order.version, found=found, key=secrets.token_hex(8), by=by, at=at
    )
    order.refresh_from_db()
    return order


def lines_of(
    remedies: Sequence[str],
    parts: Sequence[str],
    *,
    post: str | None = None,
    more: Sequence[dict[str, Any]] = (),
) -> list[dict[str, Any]]:
    """Draft lines: remedies and parts by name and number, what else, and the return post last."""
    lines: list[dict[str, Any]] = [
        {"kind": "labour", "remedy": Remedy.objects.get(name=name).pk, "quantity": "1"} for name in remedies
    ]
    lines += [
        {"kind": "part", "part": Part.objects.get(number=number).pk, "quantity": "1"} for number in parts
    ]
    return [*lines, *more, {"kind": "post", "text": "Return post", "quantity": "1", "price": post}]


def quote(
    order: Order,
    *,
    by: Person,
    at: dt.datetime,
    remedy: str = "Fit jumper wire",
    parts: Sequence[str] = ("WIRE-002",),
    lines: list[dict[str, Any]] | None = None,
    promise: dt.date | None = None,
    words: str = "",
    **more: Any,
) -> Quote:
    """Put the quote together and send it. `more`: choices, deposit and deposit_words, where they change."""
    draft = drafts.draft_of(order, at=at)
    draft = drafts.save_draft(
        draft=draft,
        lines=lines if lines is not None else lines_of([remedy], parts),
        words=words,
        promise=promise or draft.promise,
        at=at,
        **more,
    )
    sent = offers.send(order=order, seen_version=order.version, seen_draft=draft.version, by=by, at=at)
    order.refresh_from_db()
    return sent


def answer(order: Order, *, at: dt.datetime, choice: str = "mend", name: str = "") -> Decision:
    """The customer answers the open quote on the link."""
    waiting = decisions.open_quote(order)
    assert waiting is not None
    decision = decisions.decide(
        quote=waiting,
        answer=Answer(
            choice=choice,
            typed_name=name or (order.customer.name if order.customer else "Somebody"),
            digest=waiting.digest,
            button={
                "mend": "Yes, mend it",
                "back": "Send it back",
                "recycle": "Recycle it",
                "data": "Yes, save the data",
            }.get(choice, choice),
            consents=["wipe"] if choice == "recycle" else [],
        ),
        at=at,
    )
    order.refresh_from_db()
    return decision


def mend(order: Order, *, by: Person, at: dt.datetime, minutes: int = 42) -> Order:
    """Tick the steps, fit the agreed parts, sign 60."""
    for step in repair.lay_out_steps(order):
        repair.tick(step=step, done=True, by=by, at=at)
    agreed = decisions.agreed_quote(order)
    assert agreed is not None
    for line in agreed_lines(agreed.decision):
        if line.part is not None:
            fit(order, line.part, int(line.quantity), by=by, at=at)
    work.write_down(order=order, kind="repair", minutes=minutes, by=by, at=at)
    repair.finish(order=order, seen_version=order.version, by=by, at=at)
    order.refresh_from_db()
    return order


def fit(
    order: Order,
    part: Part | None,
    quantity: int,
    *,
    by: Person,
    at: dt.datetime,
    spoiled: bool = False,
    why: str = "",
) -> None:
    """Take a part from its oldest lot that may be fitted and holds enough, or a loose one."""
    assert part is not None
    lot = next((one.lot for one in lots.sources(part) if one.pieces >= quantity), None)
    repair.use_part(
        order=order, part=part, quantity=quantity, key=secrets.token_hex(8), by=by, at=at, spoiled=spoiled,
        why=why, lot=lot,
    )  # fmt: skip


def test_and_pass(
    order: Order,
    *,
    by: Person,
    at: dt.datetime,
    reading: Measured | None = GOOD,
    minutes: int = 15,
    outcome: str = "fixed",
    without_code: bool = False,
    symptom: str = "ok",
) -> Order:
    """Measure again at the same point, fill the sheet, sign 70. `reading` None: that was measured already."""
    if reading is not None:
        read(order, reading, by=by, at=at)
    run = testing.lay_out(order=order, by=by, at=at)
    if without_code:
        testing.mark_without_code(run=run, by=by, at=at)
    for row in run.rows.filter(result=""):
        if row.soak_minutes:
            soaks.start(row=row, by=by, at=at - dt.timedelta(minutes=row.soak_minutes))
        testing.mark(row=row, result=symptom if row.symptom else "ok", reading=noted(row), at=at)
    work.write_down(order=order, kind="test", minutes=minutes, by=by, at=at)
    if ends_with_data(order, outcome) and not order.data_copies.exists():
        copy_data(order, by=by, at=at)
    testing.sign_pass(order=order, seen_version=order.version, by=by, at=at, outcome=outcome)
    order.refresh_from_db()
    return order


def noted(row: TestRow) -> str:
    """The amperes of a good device, where a row of the list asks for them."""
    return "" if row.before_id or row.mode != "amps" else "0.9" if row.low else "1 mA"


def ends_with_data(order: Order, outcome: str) -> bool:
    agreed = decisions.agreed_quote(order)
    return outcome == "data only" or (agreed is not None and agreed.decision.choice == "data")


def copy_data(order: Order, *, by: Person, at: dt.datetime, files: int = 3, **more: Any) -> None:
    """Write down that data was copied, with a list of digests of invented files; `more`: its size, the day it goes."""
    names = [f"Photos/{number:04d}.jpg" for number in range(1, files + 1)]
    listing = "\n".join(line_of(hashlib.sha256(name.encode()).hexdigest(), name) for name in names)
    copied = copies.Copied(
        files=files, medium="Encrypted stick 32 GB", encrypted=True, listing=listing, sample="two photos", **more
    )  # fmt: skip
    copies.write_copy(order=order, copied=copied, key=secrets.token_hex(8), by=by, at=at)


def pay(order: Order, *, by: Person, at: dt.datetime, kind: str = "card", fee: Decimal = Decimal(0)) -> Order:
    """Pay what is owed, if anything is."""
    owed = billing.balance(order)
    if owed > 0:
        payments.record_payment(
            order=order, kind=kind, amount=owed, key=secrets.token_hex(8), by=by, at=at, fee=fee
        )
    return order


def send(
    order: Order,
    *,
    by: Person,
    at: dt.datetime,
    cost: str = "9.40",
    tracking: str = "LA473124829ZZ",
    weight: int = 310,
) -> Order:
    """Pack as it came and hand it to the post."""
    assert order.return_address is not None
    out.send(
        order=order,
        seen_version=order.version,
        packed=out.Packed(
            carrier="Surface post",
            weight_grams=weight,
            contents=[{"what": what, "packed": True} for what in out.contents_to_pack(order)],
            tracking=tracking,
            cost=Decimal(cost),
            checked=tuple(unrepaired.checks_of(order.outcome)),
        ),
        address=order.return_address,
        key=secrets.token_hex(8),
        by=by,
        at=at,
    )
    order.refresh_from_db()
    return order


def deliver(order: Order, *, by: Person, at: dt.datetime) -> Order:
    out.delivered(order=order, seen_version=order.version, by=by, at=at)
    order.refresh_from_db()
    return order
