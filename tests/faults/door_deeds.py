"""What the children of the nursery do at the doors."""

import datetime as dt
from typing import Any

from django.db import transaction
from django.test.utils import override_settings

from intake.models import Letter, Person
from shop.doors import factor, one_time
from shop.models import KnownBrowser, RecoveryCode, SecondFactor

AT = dt.datetime(2026, 2, 2, 9, 0, tzinfo=dt.UTC)
LATER = AT + dt.timedelta(minutes=1)


light = override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"])


@light
def ready_doors(*, tag: str, count: int) -> list[dict[str, Any]]:
    """So many people with a second step: pk, the code of a moment later and one line of the printed list."""
    return [_ready(f"{tag}-{number}") for number in range(count)]


def _ready(name: str) -> dict[str, Any]:
    person = Person.objects.create_user(name, "", None, initials="DO")
    secret = factor.secret_of(factor.begin(person=person, by=person, at=AT))
    first = one_time.code_at(secret, one_time.step_at(AT.timestamp()))
    lines = factor.confirm(person=person, typed=first, by=person, at=AT)
    return {
        "pk": person.pk,
        "code": one_time.code_at(secret, one_time.step_at(LATER.timestamp())),
        "line": lines[0],
    }


def race_code(subject: dict[str, Any], number: int) -> str:
    person = Person.objects.get(pk=subject["pk"])
    return "in" if factor.pass_code(person=person, typed=subject["code"], at=LATER) else "out"


@light
def race_line(subject: dict[str, Any], number: int) -> str:
    person = Person.objects.get(pk=subject["pk"])
    return "in" if factor.pass_recovery(person=person, typed=subject["line"], at=LATER) else "out"


def race_off_or_code(subject: dict[str, Any], number: int) -> str:
    """One takes the second step off while the other comes in by it."""
    person = Person.objects.get(pk=subject["pk"])
    if number:
        return race_code(subject, number)
    return "off" if factor.take_off(person=person, by=None, at=LATER) else "kept"


@transaction.atomic
def forget_doors(*, tag: str) -> int:
    """The people of the test and what hangs on them; their history stays, as all history does."""
    people = Person.objects.filter(username__startswith=f"{tag}-")
    count = people.count()
    for rows in (RecoveryCode, SecondFactor, KnownBrowser):
        rows.objects.filter(person__in=people).delete()
    people.delete()
    Letter.objects.filter(kind="sign_in_news", to="").delete()
    return count
