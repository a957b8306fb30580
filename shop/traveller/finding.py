"""From anything typed or scanned to the sheet: code, bag, serial, IMEI, part number, name or e-mail."""

import re
from dataclasses import dataclass, field

from django.db.models import Q
from django.urls import reverse

from intake import codes
from intake.models import Order
from quotes.lots import lot_meant
from quotes.models import Part

MOST = 30


@dataclass(frozen=True)
class Hit:
    """Where it leads; `kind` is "order" or "part", the words say what it is and why it was found."""

    kind: str
    url: str
    name: str
    what: str
    why: str


@dataclass(frozen=True)
class Found:
    """`sentence` is for the person where nothing was found, or too much."""

    typed: str
    hits: list[Hit] = field(default_factory=list)
    sentence: str = ""


def look_up(typed: str) -> Found:
    """The first way of reading it that hits anything wins: code, bag, lot, serial, part, person."""
    words = typed.strip()
    if not words:
        return Found(typed, sentence="Scan a code, or type a code, a bag, a serial, a part number or a name.")
    for way in (_by_code, _by_bag, _by_lot, _by_serial, _by_part, _by_person):
        if hits := way(words):
            more = len(hits) > MOST
            return Found(typed, hits[:MOST], f"More than {MOST} fit. Type a little more." if more else "")
    return Found(typed, sentence=_nothing(words))


def _nothing(words: str) -> str:
    shaped = codes.normalise(words)
    if shaped and codes.is_valid(shaped):
        return f"{shaped} is shaped like one of our codes, but there is no such order here."
    looks_like_code = re.fullmatch(r"[A-Za-z0-9]{4}[- ]?[A-Za-z0-9]{4}", words) is not None
    if looks_like_code and (why := codes.explain(words)):
        return why
    return "Nothing here has that code, bag, serial, part number, name or e-mail."


def _orders(rule: Q, why: str) -> list[Hit]:
    rows = (
        Order.objects.filter(rule).select_related("device", "customer").order_by("closed_at", "-created_at")
    )
    return [
        Hit("order", reverse("shop:sheet", args=[order.code]), order.code, _what(order), why)
        for order in rows[: MOST + 1]
    ]


def _what(order: Order) -> str:
    who = order.customer.name if order.customer else ""
    return ", ".join(word for word in (order.device.what, who, order.station_name) if word)


def _by_code(words: str) -> list[Hit]:
    code = codes.normalise(words)
    return _orders(Q(code=code), "Order code") if code else []


def _by_bag(words: str) -> list[Hit]:
    shaped = re.fullmatch(r"b(?:ag)?[\s-]*0*(\d{1,5})", words, re.IGNORECASE)
    if not shaped:
        return []
    bag = f"B-{int(shaped[1]):02d}"
    return _orders(Q(bag=bag, closed_at__isnull=True, sent_at__isnull=True), f"In bag {bag}")


def _by_serial(words: str) -> list[Hit]:
    plain = re.sub(r"[\s./-]", "", words)
    if len(plain) < 4:
        return []
    same = Q(device__serial__iexact=words) | Q(device__serial__iexact=plain) | Q(device__imei=plain)
    return _orders(same | Q(arrival__serial_read__iexact=words), "Serial or IMEI")


def _by_lot(words: str) -> list[Hit]:
    lot = lot_meant(words)
    if lot is None:
        return []
    return [Hit("part", reverse("shop:lot", args=[lot.pk]), lot.number, lot.part.name, "Lot of parts")]


def _by_part(words: str) -> list[Hit]:
    return [
        Hit("part", reverse("shop:part", args=[part.pk]), part.number, part.name, "Part number")
        for part in Part.objects.filter(number__iexact=words)[: MOST + 1]
    ]


def _by_person(words: str) -> list[Hit]:
    if len(words) < 2:
        return []
    name = Q(customer__name__istartswith=words) | Q(customer__name__icontains=f" {words}")
    return _orders(name | Q(customer__email__istartswith=words), "Customer")
