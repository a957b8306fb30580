"""Signing 30 at the bench: what runs is stopped, the minutes go on the sheet, what was kept is forgotten."""

import dataclasses
import datetime as dt

from intake.history import in_turn
from intake.models import Order, Person
from intake.stations import Station
from quotes import diagnosis
from quotes.diagnosis import Found
from quotes.models import Finding
from shop.bench import kept_text, work
from shop.branches import comeback


@in_turn
def sign_finding(
    *, order: Order, seen_version: int, found: Found, key: str, by: Person, at: dt.datetime
) -> Finding:
    """Record the finding with the minutes of looking so far; of a comeback only when its cause is said.

    Raises Refused, lifecycle errors.
    """
    comeback.must_be_said(order)
    work.close_for(order, by=by, at=at)
    minutes = work.minutes_of(order, "look") or None
    finding = diagnosis.record_finding(
        order=order,
        seen_version=seen_version,
        found=dataclasses.replace(found, minutes=minutes),
        key=key,
        by=by,
        at=at,
        post_is_ours=comeback.covered(order),
    )
    comeback.tell_and_offer(order=order, at=at)
    kept_text.drop(order=order, station=Station.DIAGNOSIS)
    return finding
