"""The few tags that paper templates use; they read the shop's currency, locale and zone from `head`."""

from base64 import b64encode
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django import template

from intake.papers.codes import code128_svg, qr_svg
from intake.papers.drawings import drawing
from intake.papers.head import Snap
from intake.papers.html import jpeg_uri
from intake.wording import clock, day_year
from intake.wording import money as money_words
from intake.wording import price as price_words

register = template.Library()
Context = dict[str, Any]


@register.simple_tag(takes_context=True)
def money(context: Context, amount: Decimal) -> str:
    head = context["head"]
    return money_words(amount, head.currency, head.locale)


@register.simple_tag(takes_context=True)
def price(context: Context, amount: Decimal) -> str:
    """The price of one, with every digit it has."""
    head = context["head"]
    return price_words(amount, head.currency, head.locale)


@register.simple_tag(takes_context=True)
def day(context: Context, value: date | datetime) -> str:
    """A day with its weekday, as 'Fri 27 November 2026'."""
    head = context["head"]
    if isinstance(value, datetime):
        value = value.astimezone(ZoneInfo(head.zone)).date()
    return day_year(value, head.locale)


@register.simple_tag(takes_context=True)
def moment(context: Context, value: datetime) -> str:
    """A day and time in the shop's zone, as 'Fri 27 November 2026, 14:31'."""
    head = context["head"]
    local = value.astimezone(ZoneInfo(head.zone))
    return f"{day_year(local.date(), head.locale)}, {clock(local)}"


@register.simple_tag
def bars(text: str) -> str:
    return code128_svg(text)


@register.simple_tag
def square(text: str) -> str:
    return qr_svg(text)


@register.simple_tag
def picture(snap: Snap) -> str:
    return jpeg_uri(snap.jpeg)


@register.simple_tag
def svg_picture(svg: bytes) -> str:
    """A drawing of the house's own as the address of an image."""
    return "data:image/svg+xml;base64," + b64encode(svg).decode()


@register.filter
def percent(rate: Decimal) -> str:
    """A rate in percent without idle zeros: 8.000 is '8 %'."""
    return f"{rate.normalize():f} %"


register.simple_tag(drawing, name="drawing")


@register.filter
def plain(number: Decimal) -> str:
    """A number without idle zeros: 1.000 is '1'."""
    return f"{number.normalize():f}"
