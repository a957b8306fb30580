"""Deeds for the whole house under fault: prepared requests, what became of them, and what must hold afterwards."""

import datetime as dt
import secrets
from typing import Any
from unittest import mock

from django.db.models import Count
from django.test import Client

from intake import drain, history, tokens
from intake.models import Device, Draft, Letter, LetterTry, Order, Person
from intake.stations import Station
from quotes.proof import prove
from shop.books.recount import recount
from shop.doors import sessions
from tests.intake.request_walk import GOOD

LATER = dt.timedelta(minutes=10)


def _typed(email: str) -> dict[str, Any]:
    steps = {
        slug: {name: value if isinstance(value, list) else [str(value)] for name, value in fields.items()}
        for slug, fields in GOOD.items()
    }
    steps["you"]["email"] = [email]
    return {"steps": steps, "done": sorted(GOOD)}


def fill_drafts(*, tag: str, count: int) -> list[list[str]]:
    """Requests filled to the last page an hour ago: the token that opens each, and its address."""
    now = dt.datetime.now(dt.UTC)
    made, doors = [], []
    for number in range(count):
        token, to = tokens.new_token(), f"{tag}-{number}@example.com"
        doors.append([token, to])
        made.append(
            Draft(
                digest=tokens.digest_of(token),
                answers=_typed(to),
                started_at=now - dt.timedelta(hours=1),
                changed_at=now - dt.timedelta(hours=1),
                expires_at=now + dt.timedelta(days=30),
                form_key=f"{tag}:{number}:{secrets.token_hex(8)}",
                from_address=f"{tag}:{number}",
            )
        )
    Draft.objects.bulk_create(made, batch_size=200)
    return doors


def drain_later(*, rounds: int = 1) -> int:
    """Deliver all that waits, as if the leases of the dead had run out.

    What the house had not yet put on paper is not laid out here: hundreds of papers would take longer than the test.
    """
    with mock.patch.object(drain, "content", lambda paper, **_: b"%PDF-1.7"):
        return sum(
            drain.drain(at=dt.datetime.now(dt.UTC) + LATER * number, limit=100_000)
            for number in range(1, rounds + 1)
        )


def requests_now(*, tag: str) -> list[dict[str, Any]]:
    """Each order sent by an address of the tag, with all that must have come into being together with it."""
    orders = (
        Order.objects.filter(customer__email__startswith=f"{tag}-")
        .select_related("customer", "device", "return_address")
        .prefetch_related("letters__attempts", "letters__papers", "papers", "lines", "links")
    )
    return [
        {
            "code": order.code,
            "to": order.customer.email if order.customer else "",
            "form_key": order.form_key,
            "whole": bool(order.return_address and order.links.all() and order.salt),
            "lines": sorted(line.station for line in order.lines.all()),
            "papers": len(order.papers.all()),
            "letters": [
                {
                    "kind": letter.kind,
                    "state": letter.state,
                    "message_id": letter.message_id,
                    "papers": len(letter.papers.all()),
                    "tries": [
                        [each.number, each.result, each.why_again]
                        for each in sorted(letter.attempts.all(), key=lambda each: each.number)
                    ],
                }
                for letter in order.letters.all()
            ],
        }
        for order in orders
    ]


def stands(*, books: bool = True) -> dict[str, Any]:
    """What is wrong with the house: nothing, when every list is empty and `chain` is None."""
    doubled = Order.objects.values("form_key").annotate(n=Count("pk")).filter(n__gt=1)
    return {
        "chain": history.verify(),
        "books": [*prove(), *recount().faults] if books else [],
        "doubled": list(doubled.exclude(form_key=None).values_list("form_key", flat=True)),
        "halves": [
            *Order.objects.filter(letters=None).values_list("code", flat=True),
            *Order.objects.filter(lines=None).values_list("code", flat=True),
            *(f"device {pk}" for pk in Device.objects.filter(orders=None).values_list("pk", flat=True)),
            *(
                f"draft {pk}"
                for pk in Draft.objects.exclude(order=None).exclude(answers={}).values_list("pk", flat=True)
            ),
        ],
        "open_tries": LetterTry.objects.filter(result="open").count(),
        "waiting": Letter.objects.filter(state__in=["pending", "claimed"]).count(),
        "passed_goods_in": Order.objects.filter(station__gt=int(Station.GOODS_IN)).count(),
    }


def let_owner_in() -> str:
    """The cookie of a browser in which the owner has just signed in, and has put the second step off until tomorrow."""
    browser, now = Client(), dt.datetime.now(dt.UTC).timestamp()
    browser.force_login(Person.objects.get(role="owner"))
    session = browser.session
    session[sessions.CAME_IN_AT] = session[sessions.SEEN_AT] = now
    session[sessions.PUT_OFF_UNTIL] = now + 86_400
    session.save()
    return f"session={browser.cookies['session'].value}"


def letter_is(state: str, *, tag: str) -> int:
    """All letters to the tag's addresses, as if no server would ever take them (dead), or as they were (sent)."""
    sent_at = dt.datetime.now(dt.UTC) if state == "sent" else None
    return Letter.objects.filter(to__startswith=f"{tag}-").update(
        state=state, sent_at=sent_at, last_error="" if sent_at else "550 nobody here"
    )
