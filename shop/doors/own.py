"""Pages of a person's own door: open to who is signed in, and to who has yet to set the second step up."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

from intake.models import Person
from shop.access import staff_only
from shop.doors.sessions import owing

View = Callable[..., HttpResponse]


def own_door(view: View) -> View:
    """As `staff_only`, but also for somebody who owes a second step and is a stranger everywhere else."""
    inside = staff_only(view)

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        return (view if owing(request) else inside)(request, *args, **kwargs)

    return guarded


def whose(request: HttpRequest) -> Person:
    """The person behind a request that `own_door` let in."""
    person = owing(request) or request.user
    if not isinstance(person, Person):
        raise PermissionDenied
    return person
