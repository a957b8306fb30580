"""The measured shop: orders made by the real actions, in a database that is thrown away."""

import datetime as dt
import secrets
from dataclasses import dataclass
from decimal import Decimal

from django.test import Client

from intake import submissions
from intake.models import Order, Person
from intake.request_answers import AddressAnswer, RequestAnswers
from quotes.models import Quote
from shop.demo import steps
from shop.demo.base import set_up_shop
from shop.doors.sessions import WITH_CODE

ADDRESS = AddressAnswer(
    name="Mara Ellwick", street="3 Nowhere Lane", city="Anytown", area="ZZ", postcode="00000", country="US"
)


@dataclass(frozen=True)
class World:
    """What the rows need to know."""

    owner: Person
    order: Order
    quote: Quote
    count: int


def staff_client(person: Person) -> Client:
    """Signed in as somebody who has passed the second step, where the shop asks for one."""
    client = Client(SERVER_NAME="localhost")
    client.force_login(person)
    session = client.session
    session[WITH_CODE] = True
    session.save()
    return client


def send_request(*, at: dt.datetime) -> Order:
    """One request, as the last page of the form sends it."""
    answers = RequestAnswers(
        kind="phone",
        make="Zarnik",
        model="Z7",
        serial="ZZ-0417",
        symptoms=["Nobody hears me"],
        words="Rings but nobody hears me.",
        in_the_box=["Phone", "Sleeve"],
        name="Mara Ellwick",
        email="mara.ellwick@example.com",
        address=ADDRESS,
        declared_value=Decimal("240.00"),
    )
    return submissions.submit(answers=answers, form_key=secrets.token_hex(16), at=at)[0]


def build(*, count: int, at: dt.datetime) -> World:
    """So many requests; every fifth is taken in, every tenth has its fault found; one waits for an answer."""
    owner, technician = set_up_shop(at=at)
    quote: Quote | None = None
    for number in range(count):
        order = send_request(at=at + dt.timedelta(minutes=number))
        if number % 5 == 0:
            steps.receive(order, by=technician, at=at)
        if number % 10 == 0:
            steps.find(order, by=technician, at=at)
        if number == 0:
            quote = steps.quote(order, by=technician, at=at)
    if quote is None:
        raise ValueError("At least one order.")
    return World(owner, quote.order, quote, count)
