"""What the children of the nursery do. Each function runs in a process of its own and returns plain values."""

import datetime as dt
import os
import secrets
import signal
from collections.abc import Callable
from decimal import Decimal
from typing import Any
from unittest import mock

from django.core.management import call_command
from django.db import transaction

from intake import drain, history, letters, lifecycle, submissions
from intake.models import Letter, Letterhead, LetterTry, Order, Person
from intake.refusals import Refused
from intake.stations import Station
from quotes import decisions, numbers, offers, payments, stock
from quotes.models import Decision, Move, Part, Quote, QuoteEnd
from shop.books.months import posting
from shop.demo.base import set_up_shop
from shop.demo.steps import lines_of
from shop.models import BookReport
from tests import walk

AT = dt.datetime(2026, 2, 2, 9, 0, tzinfo=dt.UTC)


def prepare() -> None:
    """Tables, cache rows, the shop."""
    call_command("migrate", interactive=False, verbosity=0)
    call_command("createcachetable", verbosity=0)
    set_up_shop(at=AT)


def _request(**changes: object) -> Order:
    """A sent request. The key is drawn: a counter would begin anew in each child."""
    key = secrets.token_hex(8)
    return submissions.submit(answers=walk.answers(**changes), form_key=key, at=AT)[0]


# Letters and the drainer.


def write_letters(*, tag: str, count: int, unsure: str = "resend") -> None:
    """So many letters, each to an address of its own; what waited before is out of the way."""
    Letter.objects.filter(state__in=["pending", "claimed"]).update(state="dead", claim="", lease_until=None)
    _shop_wants(unsure)
    order = _request(email="")
    for number in range(count):
        with transaction.atomic():
            letters.post(
                order=order,
                kind="withdrawn",
                key=f"{tag}:{number}",
                to=f"{tag}-{number}@example.com",
                context={},
                at=AT,
            )


def _shop_wants(unsure: str) -> None:
    head = Letterhead.current()
    if head.unsure_letters != unsure:
        head.pk, head.version, head.unsure_letters = None, head.version + 1, unsure
        head.save(force_insert=True)


def drain_at(*, minutes: int) -> int:
    """Drain all that is due so many minutes after the letters were written."""
    return drain.drain(at=AT + dt.timedelta(minutes=minutes), limit=10_000)


def _die(*_: Any, **__: Any) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def drain_and_die(*, minutes: int, point: str) -> None:
    """Drain with death waiting at a named point."""
    said = drain._speak_to_server
    places = {
        "before the try row": lambda: mock.patch.object(LetterTry.objects, "create", _die),
        "after the try row": lambda: mock.patch.object(drain, "_deliver", _die),
        "after the server's yes": lambda: mock.patch.object(
            drain, "_speak_to_server", lambda mail: (said(mail), _die())
        ),
        "before the result is committed": lambda: mock.patch.object(LetterTry.objects, "filter", _die),
    }
    with places[point]():
        drain_at(minutes=minutes)


def letters_now(*, tag: str) -> list[dict[str, Any]]:
    """Each letter with its tries."""
    return [
        {
            "key": letter.key,
            "to": letter.to,
            "state": letter.state,
            "message_id": letter.message_id,
            "tries": list(letter.attempts.values_list("number", "result", "why_again")),
        }
        for letter in Letter.objects.filter(key__startswith=f"{tag}:").prefetch_related("attempts")
    ]


# Races: each `ready_*` makes the subjects, each deed below is done by all racers on one subject at once.


def _person(role: str) -> Person:
    return Person.objects.get(role=role)


def ready_quotes(*, count: int) -> list[int]:
    """Quotes that wait for an answer, without parts."""
    by = _person("technician")
    lines = lines_of(["Fit jumper wire"], [])
    found = []
    for _ in range(count):
        order = walk.to(_request(), Station.QUOTE, by=by, at=AT)
        found.append(walk.quote(order, by=by, at=AT, lines=lines).pk)
        _away(order)
    return found


def _away(order: Order) -> None:
    """The bag goes back on its hook, so that the shop never runs out of them."""
    Order.objects.filter(pk=order.pk).update(bag="")


def _refused(deed: Callable[[], object]) -> str:
    """ "done", or which gentle refusal; anything else is a fault and comes through."""
    try:
        deed()
    except Refused as refusal:
        return type(refusal).__name__
    return "done"


def decide(quote_pk: int, number: int) -> str:
    quote = Quote.objects.get(pk=quote_pk)
    choice = ["mend", "back"][number % 2]
    given = decisions.Answer(choice=choice, typed_name=f"Racer {number}", digest=quote.digest, button="Yes")
    return _refused(lambda: decisions.decide(quote=quote, answer=given, at=AT))


def decide_or_revise(quote_pk: int, number: int) -> str:
    if number == 0:
        return decide(quote_pk, 0)
    order = Quote.objects.get(pk=quote_pk).order
    return _refused(
        lambda: offers.reopen(order=order, seen_version=order.version, by=_person("technician"), at=AT)
    )


def decide_or_lapse(quote_pk: int, number: int) -> str:
    if number == 0:
        return decide(quote_pk, 0)
    quote = Quote.objects.get(pk=quote_pk)
    late = quote.valid_until + dt.timedelta(seconds=1)
    return "done" if offers.lapse(quote=quote, at=late) else "Lost"


def quote_after(*, pk: int) -> dict[str, Any]:
    quote = Quote.objects.select_related("order").get(pk=pk)
    return {
        "station": quote.order.station,
        "ends": QuoteEnd.objects.filter(quote=quote).count(),
        "decisions": Decision.objects.filter(quote=quote).count(),
        "letters": quote.order.letters.filter(kind__in=["agreed", "declined", "quote_lapsed"]).count(),
        "open_lines": quote.order.lines.filter(signed_at__isnull=True).count(),
    }


def ready_parts(*, count: int, tag: str) -> list[list[int]]:
    """Parts of which one piece is left, each with an order that may want it."""
    order, by = _request(), lifecycle.staff(_person("technician"))
    found = []
    for number in range(count):
        part = Part.objects.create(number=f"{tag}-{number}", name="Last one")
        stock.receive(part=part, quantity=1, unit_cost=Decimal(1), key=f"last:{tag}:{number}", by=by, at=AT)
        found.append([part.pk, order.pk])
    return found


def reserve_last(subject: list[int], number: int) -> str:
    part, order = Part.objects.get(pk=subject[0]), Order.objects.get(pk=subject[1])
    by = lifecycle.staff(_person("technician"))
    key = f"want:{part.pk}:{number}"
    return _refused(lambda: stock.reserve(part=part, quantity=1, order=order, key=key, by=by, at=AT))


def take_last(subject: list[int], number: int) -> str:
    part, order = Part.objects.get(pk=subject[0]), Order.objects.get(pk=subject[1])
    by = lifecycle.staff(_person("technician"))
    key = f"take:{part.pk}:{number}"
    return _refused(lambda: stock.take(part=part, quantity=1, order=order, key=key, by=by, at=AT))


def part_after(*, pk: int) -> list[int]:
    part = Part.objects.get(pk=pk)
    moves = Move.objects.filter(part=part).exclude(kind="receive").count()
    return [part.on_hand, part.reserved, moves]


def raced_number(_subject: int, _number: int) -> int:
    """From a series of its own: a number of the invoices that no invoice bears would be a gap in the books of every
    test that comes after."""
    with transaction.atomic():
        return numbers.take("raced")


def post_month(month: str, number: int) -> str:
    figures = {"said": f"As clock {number} counted it."}
    return "done" if posting.post(month=month, figures=figures, at=AT) else "known"


def month_after(*, month: str) -> list[int]:
    letters_of = Letter.objects.filter(kind="books_month", key__startswith=f"books_month:{month}:")
    papers = {paper.pk for letter in letters_of for paper in letter.papers.all()}
    return [BookReport.objects.filter(month=month).count(), letters_of.count(), len(papers)]


def post_form(form_key: str, _number: int) -> str:
    order, _ = submissions.submit(answers=walk.answers(), form_key=form_key, at=AT)
    return order.code


def form_after(*, form_key: str) -> list[int]:
    orders = Order.objects.filter(form_key=form_key)
    return [orders.count(), Letter.objects.filter(order__in=orders).count()]


def ready_requests(*, count: int) -> list[int]:
    return [_request().pk for _ in range(count)]


def take_in(order_pk: int, number: int) -> str:
    order = Order.objects.select_related("device").get(pk=order_pk)
    bag = f"R-{order_pk}-{number}"[-12:]
    return _refused(lambda: walk.receive(order, by=_person("technician"), at=AT, bag=bag))


def order_after(*, pk: int) -> list[int]:
    order = Order.objects.get(pk=pk)
    return [order.station, order.lines.count(), order.letters.filter(kind="arrived").count()]


def pay_once(order_pk: int, _number: int) -> str:
    order = Order.objects.get(pk=order_pk)
    return _refused(
        lambda: payments.record_payment(
            order=order, kind="card", amount=Decimal(5), key=f"pay:{order_pk}", by=_person("owner"), at=AT
        )
    )


def payments_after(*, pk: int) -> int:
    return Order.objects.get(pk=pk).payments.count()


def chain() -> str | None:
    """The first break of the history after all that racing, or None."""
    return history.verify()
