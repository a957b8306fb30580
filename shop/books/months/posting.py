"""The report of a month is written once and posted to the shop's own address and its owners."""

import datetime as dt
from typing import Any

from intake import letters
from intake.history import in_turn
from intake.models import Letterhead, Person
from shop.books.hours import calendar_of, current_hours
from shop.books.house import house
from shop.books.lines import House
from shop.books.months import month_maths
from shop.books.months.collecting import collected, moved_in
from shop.models import BookReport

MAKER = "books_month"


def post_due(*, at: dt.datetime) -> int:
    """Write and post the report of the last month that is over, from the first moment the shop is open after it; 1 where it
    was, else 0. A month that was missed is made up for until the next one is over, so that no more than one ever comes late."""
    if not Letterhead.objects.exists():
        return 0
    shop, now = house(), int(at.timestamp())
    month = month_maths.month_before(month_maths.month_of(now, shop))
    if BookReport.objects.filter(month=month).exists() or now < _opens_after(month, shop):
        return 0
    if not moved_in(month_maths.window_of(month, now=now, house=shop), shop):
        return 0
    # Counted before the turn is taken: nobody waits for it.
    return int(post(month=month, figures=collected(month, at=at), at=at))


def _opens_after(month: str, shop: House) -> int:
    """When the shop first opens after a month; its end, where the shop never opens."""
    end = month_maths.window_of(month, now=2**40, house=shop).until
    opens = calendar_of(current_hours(), shop.zone, since=end, until=end).next_open(end)
    return end if opens is None else opens


@in_turn
def post(*, month: str, figures: dict[str, Any], at: dt.datetime) -> bool:
    """Keep the figures of a month, put the paper down, and write a letter to each address; False where that was done before."""
    report, made = BookReport.objects.get_or_create(month=month, defaults={"as_of": at, "figures": figures})
    if not made:
        return False
    words = month_maths.words(month)
    paper = letters.paper(
        order=None, maker=MAKER, ref=report.pk, title=f"Books of {words}", file_name=f"books-{month}.pdf", at=at,
        for_customer=False,
    )  # fmt: skip
    for address in addresses():
        letters.post(
            order=None, kind=MAKER, key=f"{MAKER}:{month}:{address}"[:120], to=address, at=at, papers=[paper],
            context={"words": words, "said": figures["said"], "as_of": at}, with_link=False,
        )  # fmt: skip
    return True


def addresses() -> list[str]:
    """The shop's own address first, then those of owners who have one; none twice."""
    owners = Person.objects.filter(role=Person.Role.OWNER, is_active=True).exclude(email="").order_by("pk")
    found = [Letterhead.current().email, *owners.values_list("email", flat=True)]
    return list({address.casefold(): address for address in found if address}.values())
