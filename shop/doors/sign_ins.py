"""The verbs of a person's own sign-ins: all of them ended, the own password changed."""

import datetime as dt
import secrets

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.views.decorators.debug import sensitive_variables

from intake.history import in_turn
from intake.models import Person
from intake.refusals import Refused
from shop.doors import news
from shop.models import KnownBrowser


def renew_mark(person: Person) -> None:
    """Ends every sign-in of the person: what their sessions are bound to is another from now on."""
    person.door_mark = secrets.token_hex(16)
    person.save(update_fields=["door_mark"])


@in_turn
def end_all(*, person: Person, keep: KnownBrowser | None, at: dt.datetime) -> None:
    """Ends the person's sign-ins, and no browser but `keep` counts as known any more."""
    renew_mark(person)
    others = KnownBrowser.objects.filter(person=person, ended_at__isnull=True)
    others.exclude(pk=keep.pk if keep else None).update(ended_at=at)
    news.tell(person, "sign-ins ended", by=person, at=at)


@sensitive_variables("password")
@in_turn
def change_password(*, person: Person, password: str, at: dt.datetime) -> None:
    """A password of the person's own choice; sign-ins elsewhere end. The old one was asked before. Raises Refused."""
    try:
        validate_password(password, person)
    except ValidationError as fault:
        raise Refused(" ".join(fault.messages), field="password") from fault
    person.set_password(password)
    person.save(update_fields=["password"])
    news.tell(person, "password", by=person, at=at)
