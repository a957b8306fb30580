"""Every try at the door: a row each, and who has to wait. A stranger's tries do not shut a browser that came in before.

The typed name and the sender are kept as keyed digests only. A try is written down before the password is looked at,
so that many at once are all counted.
"""

import datetime as dt
import hashlib
import hmac
from dataclasses import dataclass

from django.conf import settings
from django.db.models import QuerySet

from intake.models import Person
from shop.doors import pauses
from shop.models import KnownBrowser, SignInTry

Result = SignInTry.Result
WRONG = (Result.WRONG, Result.CODE_WRONG)
KEPT = dt.timedelta(days=90)
MANY = 100  # within an hour: the owner is told


@dataclass(frozen=True)
class Knock:
    """Who stands at the door. `person` is whose name was typed, if it is anybody's; `browser` is one that came in as them."""

    name: str
    sender: str
    person: Person | None = None
    browser: KnownBrowser | None = None

    @property
    def name_digest(self) -> str:
        return name_digest(self.name)


def name_digest(name: str) -> str:
    """Keyed digest of a typed name, the same for capitals and small letters."""
    return hmac.new(
        settings.SECRET_KEY.encode(), f"name {name.strip().lower()[:150]}".encode(), hashlib.sha256
    ).hexdigest()


def note(knock: Knock, result: Result, *, at: dt.datetime) -> SignInTry:
    return SignInTry.objects.create(
        person=knock.person,
        name_digest=knock.name_digest,
        sender=knock.sender,
        browser=knock.browser,
        at=at,
        result=result,
    )


def became(row: SignInTry, result: Result) -> None:
    """What came of a try that was noted as wrong before it was looked at."""
    SignInTry.objects.filter(pk=row.pk).update(result=result)


def shut_until(knock: Knock, *, at: dt.datetime, before: SignInTry | None = None) -> dt.datetime | None:
    """Until when this knock is not heard, or None. A known browser answers for its own tries only.

    `before` is the row of the knock itself, which does not count against it.
    """
    rows = SignInTry.objects.filter(at__gt=at - pauses.A_DAY)
    if before is not None:
        rows = rows.filter(pk__lt=before.pk)
    named = rows.filter(name_digest=knock.name_digest)
    if knock.browser is not None:
        return _shut(_since_in(named.filter(browser=knock.browser)), pauses.TOGETHER, at)
    strangers = named.filter(browser=None)
    ends = (
        _shut(_since_in(strangers.filter(sender=knock.sender)), pauses.TOGETHER, at),
        _shut(rows.filter(sender=knock.sender, browser=None, result__in=WRONG), pauses.SENDER, at),
        _shut(strangers.filter(result__in=WRONG), pauses.NAME, at),
        _shut(strangers.filter(result=Result.CODE_WRONG), pauses.CODES, at),
    )
    return max((end for end in ends if end), default=None)


def _since_in(rows: QuerySet[SignInTry]) -> QuerySet[SignInTry]:
    """Wrong tries since the newest that came in: whoever came in begins anew."""
    last = (
        rows.filter(result__in=(Result.IN, Result.RECOVERY))
        .order_by("-pk")
        .values_list("pk", flat=True)
        .first()
    )
    return rows.filter(result__in=WRONG, pk__gt=last or 0)


def _shut(rows: QuerySet[SignInTry], rule: pauses.Rule, at: dt.datetime) -> dt.datetime | None:
    moments = rows.filter(at__gt=at - rule.within).order_by("at").values_list("at", flat=True)
    return pauses.shut_until(list(moments), rule, at=at)


def wrong_in_hour(*, at: dt.datetime) -> int:
    return SignInTry.objects.filter(at__gt=at - pauses.AN_HOUR, at__lte=at, result__in=WRONG).count()


def forget_old(*, at: dt.datetime) -> int:
    """Drop tries of over 90 days; returns how many."""
    gone, _ = SignInTry.objects.filter(at__lt=at - KEPT).delete()
    return gone


def drop(row: int) -> None:
    """A try that need not stand by itself: the password of one that came in by code, or typed again by who is in."""
    SignInTry.objects.filter(pk=row).delete()
