"""Questions and answers on the sheet."""

import datetime as dt

from intake import history, letters, lifecycle
from intake.history import in_turn
from intake.models import Letterhead, Message, Order, Person
from intake.refusals import Refused

LONGEST = 4000


@in_turn
def ask(*, order: Order, text: str, form_key: str, at: dt.datetime) -> Message:
    """The customer asks; the shop gets a letter. The same form key asks once."""
    known = Message.objects.filter(form_key=form_key).first()
    if known is not None:
        return known
    message = _write(
        order, text, form_key, at, who=order.customer.name if order.customer else "customer", mine=True
    )
    letters.post(
        order=order,
        kind="question_for_shop",
        key=f"question:{message.pk}",
        to=Letterhead.current().email,
        context={"message": message},
        at=at,
        with_link=False,
    )
    history.record(
        order=order, what="question", by=lifecycle.CUSTOMER.name, at=at, facts={"message": message.pk}
    )
    return message


@in_turn
def answer(*, order: Order, text: str, form_key: str, by: Person, at: dt.datetime) -> Message:
    """Staff answer, or write first; the customer gets a letter and open questions count as answered."""
    known = Message.objects.filter(form_key=form_key).first()
    if known is not None:
        return known
    message = _write(order, text, form_key, at, who=str(by), mine=False)
    Message.objects.filter(order=order, from_customer=True, answered_at__isnull=True).update(answered_at=at)
    letters.tell(
        order,
        kind="answer",
        ref=message.pk,
        at=at,
        message=message,
    )
    history.record(order=order, what="answer", by=by.username, at=at, facts={"message": message.pk})
    return message


def _write(order: Order, text: str, form_key: str, at: dt.datetime, *, who: str, mine: bool) -> Message:
    words = text.strip()
    if not words:
        raise Refused("Please write your message first.", field="text")
    if len(words) > LONGEST:
        raise Refused(f"Please keep it under {LONGEST} characters; this has {len(words)}.", field="text")
    return Message.objects.create(
        order=order, from_customer=mine, who=who[:120], text=words, at=at, form_key=form_key
    )
