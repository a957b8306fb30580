"""A short letter a day to the shop's own address. It takes the head of the history out of the house: who later cuts the
end off, or writes all of it anew, is found out by any such letter."""

import datetime as dt
import zoneinfo

from django.db.models import Count, Q

from intake import heads, letters
from intake.history import in_turn
from intake.models import Arrival, Letter, Letterhead, Order

KIND = "house_day"
MORNING = dt.time(6, 0)
DAY = dt.timedelta(days=1)


def post_due(at: dt.datetime) -> int:
    """Post the letter of today, from six in the morning in the shop's zone; 1 where it was, else 0."""
    head = Letterhead.objects.order_by("-version").first()
    if head is None:
        return 0
    local = at.astimezone(zoneinfo.ZoneInfo(head.zone))
    key = f"{KIND}:{local.date().isoformat()}"
    if local.time() < MORNING or Letter.objects.filter(key=key).exists():
        return 0
    return post(key=key, at=at)


@in_turn
def post(*, key: str, at: dt.datetime) -> int:
    """Write the letter under `key`; 1 where there is an address to send it to."""
    made = letters.post(
        order=None,
        kind=KIND,
        key=key,
        to=Letterhead.current().email,
        at=at,
        context=said(at),
        with_link=False,
    )
    return int(made is not None)


def said(at: dt.datetime) -> dict[str, object]:
    """What the letter says: `head` (`intake.heads.Head`), and the counts of the last 24 hours."""
    states = Letter.State
    found = Letter.objects.aggregate(
        sent=Count("pk", filter=Q(state=states.SENT, created_at__gt=at - DAY)),
        stuck=Count("pk", filter=Q(state__in=[states.HELD, states.DEAD])),
    )
    return {
        "head": heads.newest(),
        "parcels": Arrival.objects.filter(at__gt=at - DAY, at__lte=at).count(),
        "closed": Order.objects.filter(closed_at__gt=at - DAY, closed_at__lte=at).count(),
        **found,
    }
