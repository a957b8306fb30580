"""Works the books out anew from every sheet and paper, and says where what is kept differs from it."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from intake.history import in_turn
from intake.models import Order
from shop.books.day_sums import ADDED, DayKey, summed
from shop.books.house import house
from shop.books.keep import kept, move_sums, write
from shop.books.line_facts import gone, lines_of
from shop.books.lines import House, Line
from shop.models import BookDay, BookLine

PORTION = 1_000
SAID = 20


@dataclass
class Count:
    """What a recount saw: how many lines and sums there should be, and a sentence for each that differs."""

    lines: int = 0
    sums: int = 0
    faults: list[str] = field(default_factory=list)


def recount(*, mend: bool = False) -> Count:
    """Compare every kept line with its order's papers, and every sum by day with the lines. With `mend`, write what should
    stand there; the faults still say what was wrong. In portions: a big shop goes on working meanwhile."""
    count, shop, sums = Count(), house(), dict[DayKey, list[int]]()
    for pks in portions():
        for key, amounts in summed(_portion(pks, shop, count, mend=mend)).items():
            row = sums.setdefault(key, [0] * len(ADDED))
            sums[key] = [old + new for old, new in zip(row, amounts, strict=True)]
    _strays(count, mend=mend)
    _sums(sums, count, mend=mend)
    return count


def portions() -> Iterator[list[int]]:
    """Orders that have left, a thousand at a time by pk."""
    after = 0
    while True:
        rows = Order.objects.filter(gone(), pk__gt=after).order_by("pk")
        pks = list(rows.values_list("pk", flat=True)[:PORTION])
        if not pks:
            return
        yield pks
        after = pks[-1]


@in_turn
def _portion(pks: list[int], shop: House, count: Count, *, mend: bool) -> list[Line]:
    found = lines_of(Order.objects.filter(pk__in=pks), house=shop, now=0)
    stands = {line.order: line for line in kept(BookLine.objects.filter(order__in=pks))}
    wrong = [line for line in found if stands.get(line.order) != line]
    codes = dict(Order.objects.filter(pk__in=[line.order for line in wrong]).values_list("pk", "code"))
    count.lines += len(found)
    count.faults += [_said(codes[line.order], stands.get(line.order), line) for line in wrong]
    if mend:
        write(wrong)
    return found


def _said(code: str, stands: Line | None, found: Line) -> str:
    if stands is None:
        return f"Order {code} has left and has no line."
    differ = [
        f"{name} is {old!r} and should be {new!r}"
        for name, old, new in zip(Line._fields, stands, found, strict=True)
        if old != new
    ]
    return f"Order {code}: {', '.join(differ)}."


def _strays(count: Count, *, mend: bool) -> None:
    strays = BookLine.objects.exclude(order__in=Order.objects.filter(gone()))
    for code in strays.values_list("order__code", flat=True):
        count.faults.append(f"Order {code} has a line and has not left.")
    if mend:
        strays.delete()


@in_turn
def _sums(should: dict[DayKey, list[int]], count: Count, *, mend: bool) -> None:
    count.sums = len(should)
    stands = {
        DayKey(*row[:4]): list(row[4:])
        for row in BookDay.objects.values_list("currency", "facet", "day", "word", *ADDED)
    }
    changes = {}
    for key in sorted(should.keys() | stands.keys()):
        new, old = should.get(key, [0] * len(ADDED)), stands.get(key, [0] * len(ADDED))
        if new != old:
            changes[key] = [there - here for there, here in zip(new, old, strict=True)]
            count.faults.append(
                f"The sums of day {key.day} by {key.facet} {key.word!r} are {old} and should be {new}."
            )
    if mend and changes:
        move_sums(changes)
