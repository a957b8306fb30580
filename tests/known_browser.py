"""A browser that staff came in with before, as the door leaves one behind."""

import datetime as dt

from django.http import HttpResponse
from django.test import Client, RequestFactory

from intake.models import Person
from shop.doors import browsers


def make_known(client: Client, person: Person) -> None:
    """From now on the client brings the cookie that the door gave it."""
    answer = HttpResponse()
    browsers.remember(RequestFactory().get("/"), answer, person, at=dt.datetime.now(dt.UTC))
    client.cookies.update(answer.cookies)
