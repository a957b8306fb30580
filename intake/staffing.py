"""People who work here: added, changed, given a new password, let go. A row is never removed: signatures point at it."""

import datetime as dt
import secrets
from dataclasses import dataclass

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from intake import history
from intake.history import in_turn
from intake.models import Person
from intake.refusals import Refused

LONGEST_NAME = 40  # what the history, the stock and the photos have room for


@dataclass(frozen=True)
class Particulars:
    """What is written down of a person."""

    first_name: str
    last_name: str
    initials: str
    role: str
    email: str = ""


@in_turn
def add_person(*, username: str, given: Particulars, password: str, by: Person, at: dt.datetime) -> Person:
    """A new member of staff. Raises Refused for a taken name or a weak password."""
    if len(username) > LONGEST_NAME:
        raise Refused(f"Keep it to {LONGEST_NAME} letters: it stands beside every entry.", field="username")
    person = Person(username=username, **vars(given))
    _check_password(password, person)
    person.set_password(password)
    try:
        with transaction.atomic():
            person.save()
    except IntegrityError:
        raise Refused("Somebody here signs in with that name already.", field="username") from None
    _note("person added", person, by, at)
    return person


@in_turn
def change_person(*, person: Person, given: Particulars, by: Person, at: dt.datetime) -> Person:
    """Change what is written down. The last owner stays one."""
    if person.role == Person.Role.OWNER and given.role != Person.Role.OWNER:
        _keep_an_owner(person, field="role")
    for name, value in vars(given).items():
        setattr(person, name, value)
    person.save(update_fields=[*vars(given)])
    _note("person changed", person, by, at)
    return person


@in_turn
def give_password(*, person: Person, password: str, by: Person, at: dt.datetime) -> None:
    """A new password; the person's sign-ins elsewhere end with it."""
    _check_password(password, person)
    person.set_password(password)
    person.save(update_fields=["password"])
    _note("password given", person, by, at)


@in_turn
def set_active(*, person: Person, active: bool, by: Person, at: dt.datetime) -> None:
    """Let somebody go, or take them back: a sign-in of before does not come back with them. The last owner cannot go."""
    if not active and person.role == Person.Role.OWNER:
        _keep_an_owner(person, field="")
    person.is_active, person.door_mark = active, secrets.token_hex(16)
    person.save(update_fields=["is_active", "door_mark"])
    _note("person taken back" if active else "person let go", person, by, at)


def _keep_an_owner(person: Person, *, field: str) -> None:
    """Locks the owners, so that two who let each other go do not both succeed."""
    owners = Person.objects.select_for_update().filter(role=Person.Role.OWNER, is_active=True)
    if [other.pk for other in owners] in ([person.pk], []):
        raise Refused("This is the last owner. Make somebody else an owner first.", field=field)


def _check_password(password: str, person: Person) -> None:
    try:
        validate_password(password, person)
    except ValidationError as fault:
        raise Refused(" ".join(fault.messages), field="password") from fault


def _note(what: str, person: Person, by: Person, at: dt.datetime) -> None:
    history.record(
        order=None, what=what, by=by.username, at=at, facts={"person": person.pk, "role": person.role}
    )
