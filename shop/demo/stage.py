"""Where the demonstration's walks happen: the people, the moment, and what many walks share."""

import datetime as dt
import hashlib
from dataclasses import dataclass
from decimal import Decimal

from intake import album, submissions
from intake.lifecycle import staff
from intake.models import Order, Person
from intake.request_answers import RequestAnswers
from quotes import billing, stock
from quotes.fees import card_fee
from quotes.models import Part, Rates
from shop.bench import work
from shop.demo import pictures, steps
from shop.returns import costs


@dataclass
class World:
    """Where the walks happen: the two people and the moment everything is counted back from."""

    owner: Person
    packer: Person
    as_of: dt.datetime

    def ago(self, days: float, hours: float = 0) -> dt.datetime:
        return self.as_of - dt.timedelta(days=days, hours=hours)

    def put_in(self, part: Part, pieces: int, cost: str, *, at: dt.datetime, why: str) -> None:
        """Pieces of a part into its bin; the same reason puts them in once."""
        key = f"demo-{part.number}-{why}"[:64]
        by = staff(self.owner)
        stock.receive(part=part, quantity=pieces, unit_cost=Decimal(cost), key=key, by=by, at=at, why=why)


def request(world: World, answers: RequestAnswers, *, at: dt.datetime, photos: bool = False) -> Order:
    told = f"{answers.name}-{answers.serial}-{at:%Y%m%d%H%M}"
    key = f"demo-{hashlib.sha256(told.encode()).hexdigest()[:24]}"  # as in a real shop, the key names nobody
    order, _ = submissions.submit(answers=answers, form_key=key, at=at)
    if photos:
        for role, draw in (("outside", pictures.parcel), ("opening", pictures.opened)):
            album.add_photo(order=order, content=draw(order.pk), role=role, by="pim", at=at)
    return order


def paid(world: World, order: Order, *, at: dt.datetime) -> None:
    steps.pay(order, by=world.owner, at=at, fee=fee_of(billing.balance(order)))


def fee_of(amount: Decimal) -> Decimal:
    """What the card company keeps of a payment, as the rates say."""
    rates = Rates.current()
    return card_fee(amount, percent=rates.card_percent, fixed=rates.card_fixed, currency="USD")


def talk(world: World, order: Order, minutes: int, *, at: dt.datetime) -> None:
    work.write_down(order=order, kind="talk", minutes=minutes, by=world.owner, at=at)


def finish(world: World, order: Order, *, at: dt.datetime, home: float = 2, cost: str = "9.40") -> None:
    """Paid, sent, and delivered `home` days later if that is over by now."""
    paid(world, order, at=at - dt.timedelta(hours=2))
    steps.send(order, by=world.packer, at=at, cost=cost)
    if at + dt.timedelta(days=home) < world.as_of:
        steps.deliver(order, by=world.packer, at=at + dt.timedelta(days=home))


def cost(world: World, order: Order, what: str, amount: str, *, at: dt.datetime) -> None:
    """Money an order cost beside parts and post."""
    costs.add_cost(
        order=order,
        what=what,
        amount=Decimal(amount),
        key=f"demo-{order.pk}-{what}"[:64],
        by=world.owner,
        at=at,
    )


def came(world: World, number: str, quantity: int, unit_cost: str, *, at: dt.datetime, why: str) -> None:
    """Parts put in the bin."""
    world.put_in(Part.objects.get(number=number), quantity, unit_cost, at=at, why=why)


def missing(world: World, number: str, pieces: int, *, at: dt.datetime, why: str) -> None:
    """Parts that a count finds gone."""
    part = Part.objects.get(number=number)
    stock.count(
        part=part, counted=part.on_hand - pieces, key=f"demo-{why}", by=staff(world.owner), at=at, why=why
    )
