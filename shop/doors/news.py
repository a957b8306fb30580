"""What changed at somebody's door, written to the history and mailed to them: never a code, never an address."""

import datetime as dt

from django.conf import settings
from django.db.models import Max

from intake import history, letters
from intake.models import Letter, Person

# By what the history says: the words of the letter's subject.
SUBJECTS = {
    "set up": "Your sign-in has a second step now",
    "taken off": "Your sign-in has no second step any more",
    "new list": "A new list of recovery codes was made",
    "recovery code": "Somebody came in with a code of your printed list",
    "new browser": "You signed in on a browser we had not seen",
    "sign-ins ended": "Your other sign-ins were ended",
    "password": "Your password was changed",
}
_ENTRY = {
    "set up": "second step set up",
    "taken off": "second step taken off",
    "new list": "recovery list renewed",
    "recovery code": "recovery code used",
    "new browser": "new browser known",
    "sign-ins ended": "sign-ins ended",
    "password": "own password changed",
}
SERVER = "server"


def tell(person: Person, what: str, *, by: Person | None, at: dt.datetime) -> None:
    """An entry in the history and a letter to the person, inside the caller's transaction."""
    who = by.username if by else SERVER
    entry = history.record(order=None, what=_ENTRY[what], by=who, at=at, facts={"person": person.pk})
    letters.post(
        order=None,
        kind="sign_in_news",
        key=f"sign_in_news:{entry.seq}",
        to=person.email,
        context={
            "person": person,
            "what": what,
            "subject_words": SUBJECTS[what],
            "by_other": by != person,
            "who": str(by) if by else "the command on the server",
        },
        at=at,
        with_link=False,
    )


def many_tries(count: int, *, at: dt.datetime, hour: str) -> int:
    """One letter an hour to each owner; returns how many were new. Inside the caller's transaction."""
    owners = Person.objects.filter(role=Person.Role.OWNER, is_active=True).exclude(email="")
    before = Letter.objects.aggregate(last=Max("pk"))["last"] or 0
    for owner in owners:
        letters.post(
            order=None,
            kind="many_tries",
            key=f"many_tries:{hour}:{owner.pk}",
            to=owner.email,
            context={
                "count": count,
                "link_address": f"{settings.SITE_ADDRESS}/settings/came-in/",
                "link_words": "Who came in",
            },
            at=at,
            with_link=False,
        )
    return Letter.objects.filter(pk__gt=before, kind="many_tries").count()
