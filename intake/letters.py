"""A letter is a row before it is an e-mail: written in the transaction of the change that causes it."""

import datetime as dt
import re
import secrets
import zoneinfo
from collections.abc import Iterable

from django.conf import settings
from django.db import connection, transaction
from django.template.loader import render_to_string
from django.utils import timezone

from intake import tokens
from intake.models import Letter, Letterhead, Order, Paper, Photo
from intake.waking import wake

_MANY_BREAKS = re.compile(r"\n(?:[^\S\n]*\n){2,}")
_BREAKS = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")


def one_line(text: str, *, longest: int = 200) -> str:
    """A header value: no line break can enter a subject or an address."""
    return _BREAKS.sub(" ", text).strip()[:longest]


def post(
    *,
    order: Order | None,
    kind: str,
    key: str,
    to: str,
    context: dict[str, object],
    at: dt.datetime,
    papers: Iterable[Paper] = (),
    photos: Iterable[Photo] = (),
    with_link: bool = True,
) -> Letter | None:
    """Write the letter of `templates/letters/<kind>.subject.txt` and `<kind>.txt` as a row.

    The words are written once; the frames set them as text and as HTML, so that the two never disagree. Times are
    said in the shop's zone. `link_address` in the context is where a letter without the customer's link leads;
    a letter to the shop itself goes `with_link=False`.

    `key` makes it once: the same key again returns the row that is there. Without an address there is no
    letter (a parcel without a form): None, and the sheet shows that nobody could be told.
    """
    if not connection.in_atomic_block:
        raise RuntimeError("A letter is written in the transaction of the change that causes it.")
    if not to:
        return None
    known = Letter.objects.filter(key=key).first()
    if known is not None:
        return known
    letter = _row(order, kind, context, at, with_link, key=key, to=one_line(to, longest=254))
    letter.papers.add(*papers)
    letter.photos.add(*photos)
    transaction.on_commit(wake, robust=True)
    return letter


def tell(
    order: Order,
    *,
    kind: str,
    ref: int | str,
    at: dt.datetime,
    papers: Iterable[Paper] = (),
    photos: Iterable[Photo] = (),
    **context: object,
) -> Letter | None:
    """The letter of that kind to the order's customer, once for each `ref` (the row it tells of)."""
    return post(
        order=order,
        kind=kind,
        key=f"{kind}:{ref}",
        to=order.customer.email if order.customer else "",
        context=context,
        at=at,
        papers=papers,
        photos=photos,
    )


def _row(
    order: Order | None,
    kind: str,
    context: dict[str, object],
    at: dt.datetime,
    with_link: bool,
    **columns: str,
) -> Letter:
    letterhead = Letterhead.current()
    link = tokens.give_link(order, at=at) if order is not None and with_link else None
    frame = {
        "order": order,
        "code": order.code if order is not None else "",
        "letterhead": letterhead,
        "at": at,
        "link": tokens.MARK if link is not None else context.get("link_address", ""),
        **context,
    }
    subject, text, html = _written(kind, frame, letterhead.zone)
    host = settings.SITE_ADDRESS.split("//", 1)[1].split(":")[0].split("/")[0]
    return Letter.objects.create(
        order=order,
        kind=kind,
        subject=subject,
        text=text,
        html=html,
        link=link,
        message_id=f"<{secrets.token_hex(16)}@{host}>",
        from_address=one_line(f'"{letterhead.name.replace(chr(34), "")}" <{letterhead.email}>', longest=254),
        unsure=letterhead.unsure_letters,
        next_at=at,
        created_at=at,
        **columns,
    )


def _written(kind: str, frame: dict[str, object], zone: str) -> tuple[str, str, str]:
    """Subject, text and HTML."""
    with timezone.override(zoneinfo.ZoneInfo(zone)):
        subject = one_line(render_to_string(f"letters/{kind}.subject.txt", frame))
        frame = {**frame, "body": f"letters/{kind}.txt", "news": subject}
        text = render_to_string("letters/frame.txt", frame)
        html = render_to_string("letters/frame.html", frame)
    return subject, _MANY_BREAKS.sub("\n\n", text).strip() + "\n", html


def paper(
    *,
    order: Order | None,
    maker: str,
    ref: int,
    title: str,
    file_name: str,
    at: dt.datetime,
    letterhead: Letterhead | None = None,
    for_customer: bool = True,
) -> Paper:
    """Put a paper down to be made; the same maker and ref give the same paper. A statement is of no one order."""
    row, _ = Paper.objects.get_or_create(
        key=f"{maker}:{ref}",
        defaults={
            "order": order,
            "maker": maker,
            "ref": ref,
            "title": title,
            "file_name": file_name,
            "letterhead": letterhead or Letterhead.current(),
            "for_customer": for_customer,
            "created_at": at,
        },
    )
    return row


def papers(
    *,
    order: Order,
    ref: int,
    at: dt.datetime,
    titles: dict[str, str],
    letterhead: Letterhead | None = None,
    for_customer: bool = True,
) -> list[Paper]:
    """Several papers of one row at once, given as maker and title; each is made once, in this order."""
    head = letterhead or Letterhead.current()
    rows = [
        Paper(
            key=f"{maker}:{ref}",
            order=order,
            maker=maker,
            ref=ref,
            title=title,
            file_name=f"{order.code}-{maker.replace('_', '-')}.pdf",
            letterhead=head,
            for_customer=for_customer,
            created_at=at,
        )
        for maker, title in titles.items()
    ]
    Paper.objects.bulk_create(rows, ignore_conflicts=True)
    known = Paper.objects.in_bulk([row.key for row in rows], field_name="key")
    return [known[row.key] for row in rows]


def readable(letter: Letter, part: str) -> str:
    """The letter's text or html with the customer's link put in."""
    body: str = getattr(letter, part)
    return body.replace(tokens.MARK, tokens.address_of(letter.link) if letter.link else "")
