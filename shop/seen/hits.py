"""How often the suggestion was right: left out one by one over finished orders, and as it stood on sheets."""

from dataclasses import dataclass

from django.core.cache import cache
from django.db.models import Count, Max

from intake.models import Device, HistoryEntry
from quotes.list_words import FAULT
from quotes.models import Finding
from quotes.word_lists import snapshot
from shop.books.outcome_maths import Rate
from shop.seen.cases import finished, seen
from shop.seen.gower_maths import commonest, leave_one_out

KEPT_SECONDS = 30 * 86_400
# A sheet does not wait for a new count before a twentieth and five more orders are finished; the page of the rate does.
SHARE, SOME = 20, 5
# So many of the latest orders are left out in turn: the sums grow with the square.
MOST_LEFT_OUT = 120
# A list that changes what counts as what.
CHANGES = ("list words merged", "list words parted", "list word renamed")


@dataclass(frozen=True)
class Hits:
    """Of one kind of device: right when each finished order is left out in turn, and right by naming the commonest."""

    kind: str
    left_out: Rate
    commonest: Rate

    @property
    def limits(self) -> tuple[int, int]:
        """A 95 % interval of `left_out` in percent."""
        low, high = self.left_out.limits
        return round(low * 100), round(high * 100)


def hits_of(kind: str, *, exact: bool = False) -> Hits:
    """Counted when first asked and after merges, then as orders are finished: at each one where it shall be exact."""
    count = finished(kind).order_by().count()
    changed = HistoryEntry.objects.filter(what__in=CHANGES).aggregate(Max("seq"))["seq__max"]
    kept = cache.get(f"seen:{kind}")
    if kept is not None and kept["changed"] == changed:
        grown = abs(count - kept["count"])
        if not grown or (not exact and grown <= SOME + kept["count"] // SHARE):
            return Hits(kind, Rate(*kept["left_out"]), Rate(*kept["commonest"]))
    cases = seen(kind).cases[:MOST_LEFT_OUT]
    told = Hits(kind, leave_one_out(cases), commonest(cases))
    numbers = {
        "left_out": (told.left_out.k, told.left_out.n),
        "commonest": (told.commonest.k, told.commonest.n),
    }
    cache.set(f"seen:{kind}", {"count": count, "changed": changed, **numbers}, KEPT_SECONDS)
    return told


def all_hits() -> list[tuple[str, Hits]]:
    """By kind of device, those with finished orders, with its label."""
    told = [(label, hits_of(kind, exact=True)) for kind, label in Device.Kind.choices]
    return [(label, hits) for label, hits in told if hits.left_out.n]


def stood() -> Rate:
    """Of the suggestions that stood on a sheet when its finding was signed, how many named what was found. Two queries."""
    words = snapshot([FAULT])
    rows = Finding.objects.exclude(suggested="").order_by().values_list("suggested", "fault_class")
    right = of = 0
    for told, found, count in rows.annotate(Count("pk")):
        of += count
        right += count * (words.canonical(FAULT, told) == words.canonical(FAULT, found))
    return Rate(right, of)
