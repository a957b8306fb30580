"""The verbs of coming in: a password looked at, a code looked at, each counted whether right or wrong."""

import datetime as dt
from dataclasses import dataclass

from django.contrib.auth import authenticate
from django.http import HttpRequest
from django.views.decorators.debug import sensitive_variables

from intake.history import in_turn
from intake.models import Person
from intake.refusals import Refused
from intake.visits import sender_of
from shop.doors import browsers, factor, news, tries
from shop.doors.tries import Knock, Result
from shop.models import SignInTry

NOT_TOGETHER = "That name and password do not go together. Please try again."
WRONG_CODE = "That code is not right, or it was used before. Wait for the next one and type that."
WRONG_LIST = "That code is not on your list, or it was used before."


class Shut(Exception):
    """Too many wrong tries: nobody is heard until then."""

    def __init__(self, until: dt.datetime) -> None:
        super().__init__(f"shut until {until:%H:%M}")
        self.until = until


@dataclass(frozen=True)
class Heard:
    """A right password: whose, the row of the try, and whether a code is still to come."""

    person: Person
    row: SignInTry
    needs_code: bool


def knock_of(request: HttpRequest, name: str, *, at: dt.datetime) -> Knock:
    """Who stands at the door; the same look-ups for a name of somebody and for one of nobody."""
    person = Person.objects.filter(username=name, is_active=True).first()
    return Knock(name, sender_of(request), person, browsers.known(request, person, at=at))


@sensitive_variables("password")
def by_password(request: HttpRequest, name: str, password: str, *, at: dt.datetime) -> Heard | None:
    """None for a wrong name or password. Raises Shut. A password is hashed for unknown names, too."""
    knock = knock_of(request, name, at=at)
    row = _counted(knock, Result.WRONG, at)
    person = authenticate(request, username=name, password=password)
    if not isinstance(person, Person):
        return None
    needs_code = factor.confirmed(person) is not None
    tries.became(row, Result.CODE_WRONG if needs_code else Result.IN)
    return Heard(person, row, needs_code)


@sensitive_variables("typed")
def by_code(request: HttpRequest, person: Person, typed: str, *, from_list: bool, at: dt.datetime) -> bool:
    """Whether a code of the phone, or of the printed list, is right. Raises Shut, and Refused where none can be read."""
    knock = knock_of(request, person.username, at=at)
    row = _counted(knock, Result.CODE_WRONG, at)
    passed = factor.pass_recovery if from_list else factor.pass_code
    right = passed(person=person, typed=typed, at=at)
    if right:
        tries.became(row, Result.RECOVERY if from_list else Result.IN)
    return right


@sensitive_variables("password")
def own_password(request: HttpRequest, person: Person, password: str, *, at: dt.datetime) -> None:
    """The password of somebody signed in, asked again. A wrong one counts as a try. Raises Shut and Refused."""
    row = _counted(knock_of(request, person.username, at=at), Result.WRONG, at)
    if authenticate(request, username=person.username, password=password) is None:
        raise Refused("That is not your password. Please try again.")
    tries.drop(row.pk)


def complete(row: int) -> None:
    """The password's try has become one with the code's, which says that the person came in."""
    tries.drop(row)


def went_out(request: HttpRequest, person: Person, *, at: dt.datetime) -> None:
    tries.note(knock_of(request, person.username, at=at), Result.OUT, at=at)


def welcome(person: Person, *, new: bool, at: dt.datetime) -> None:
    """Tell the person of a browser that was not known, unless it is their first."""
    if new and person.known_browsers.count() > 1:
        _tell_new(person=person, at=at)


@in_turn
def _tell_new(*, person: Person, at: dt.datetime) -> None:
    news.tell(person, "new browser", by=person, at=at)


def _counted(knock: Knock, as_what: Result, at: dt.datetime) -> SignInTry:
    row = tries.note(knock, as_what, at=at)
    until = tries.shut_until(knock, at=at, before=row)
    if until is not None:
        tries.became(row, Result.LOCKED)
        raise Shut(until)
    return row


def tell_of_many(*, at: dt.datetime) -> int:
    """The clock's work: a letter to the owners once an hour while there are very many wrong tries."""
    count = tries.wrong_in_hour(at=at)
    return _told(count=count, at=at) if count >= tries.MANY else 0


@in_turn
def _told(*, count: int, at: dt.datetime) -> int:
    return news.many_tries(count, at=at, hour=f"{at.astimezone(dt.UTC):%Y-%m-%dT%H}")
