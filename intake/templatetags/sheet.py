"""How a template says a value: thin filters over `intake.wording`, with the shop's locale and the page's zone."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django import template
from django.utils import timezone

from intake import codes, wording
from intake.addressing import shop_lines
from intake.house import house
from intake.models import Letterhead
from intake.money import Money

register = template.Library()


@register.filter
def money(value: Any, currency: str = "") -> str:
    """`{{ total|money }}` for Money, `{{ amount|money:order.currency }}` for Decimal; empty for nothing at all."""
    if value is None or value == "":
        return ""
    if isinstance(value, Money):
        value, currency = value.amount, value.currency
    return wording.money(Decimal(value), currency or house().currency, house().locale)


@register.filter
def amount(value: Any, currency: str = "") -> str:
    """Money or Decimal as money; words stay words."""
    return value if isinstance(value, str) else money(value, currency or "")


@register.filter
def day(value: Any) -> str:
    """'Fri 27 November'."""
    return wording.day(_in_zone(value)) if isinstance(value, date) else ""


@register.filter
def day_year(value: Any) -> str:
    """'Fri 27 November 2026'."""
    return wording.day_year(_in_zone(value)) if isinstance(value, date) else ""


@register.filter
def day_short(value: Any) -> str:
    """'27 Nov'."""
    return wording.day_short(_in_zone(value)) if isinstance(value, date) else ""


@register.filter
def clock(value: Any) -> str:
    """'14:31'."""
    return wording.clock(_in_zone(value)) if isinstance(value, datetime) else ""


@register.filter
def moment(value: Any) -> str:
    """'Tue 24 Nov, 10:05'; a day without a time is said as a day."""
    if isinstance(value, datetime):
        return wording.moment(_in_zone(value))
    return day(value)


@register.filter
def machine(value: Any) -> str:
    """What belongs into `<time datetime="...">`: ISO 8601, in the page's zone."""
    return _in_zone(value).isoformat(timespec="minutes") if isinstance(value, datetime) else _iso_day(value)


@register.filter
def minutes(value: Any) -> str:
    """'1 h 15 min'; empty for nothing at all."""
    return "" if value is None or value == "" else wording.minutes(value)


@register.filter
def count(value: Any, words: str) -> str:
    """`{{ photos|count:"photo,photos" }}`: '6 photos'. A list is counted by its length."""
    one, _, many = words.partition(",")
    return wording.count(value if isinstance(value, int) else len(value), one, many)


@register.filter
def spoken(value: Any) -> str:
    """An order code as it is read out on the phone; empty where it is none."""
    try:
        return codes.spoken(str(value))
    except ValueError:
        return ""


@register.filter
def post_lines(letterhead: Letterhead) -> tuple[str, ...]:
    """The shop's name and address, a line each, as they are written on a parcel."""
    return shop_lines(letterhead)


def _in_zone(value: Any) -> Any:
    return timezone.localtime(value) if isinstance(value, datetime) and timezone.is_aware(value) else value


def _iso_day(value: Any) -> str:
    return value.isoformat() if isinstance(value, date) else ""
