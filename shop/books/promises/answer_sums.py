"""Quotes: what became of them by the month they were sent, and how long an answer takes. Pure."""

from collections import defaultdict
from collections.abc import Iterable
from fractions import Fraction

from shop.books.figures import Figure
from shop.books.lines import Books, Line
from shop.books.promises.shares import count_figure, orders, share_figure
from shop.books.turnaround_maths import Curve, curve_of

HOUR, DAY_HOURS = 3600, 24
FATES = ("accepted", "declined", "lapsed", "waiting")
DECIDED = frozenset(FATES[:3])
DAYS = (1, 3, 7, 14, 21)
HALF = Fraction(1, 2)
# Beyond it nothing is drawn or listed by day: a quote is over by then.
LAST_DAY = 60
COHORT = "By the day of the first quote; comebacks are left out."
WAITING = "Those waiting stand apart and never count in the share."
SILENT = "The silent count as long as they waited, or until the quote lapsed: never as answered."


def cohort(books: Books) -> list[Line]:
    """Orders whose first quote was sent in the window, comebacks and quotes taken back left out."""
    return [line for line in books.quoted() if not line.comeback_of and line.answer in FATES]


def decided(lines: Iterable[Line]) -> list[Line]:
    """Those that were answered or lapsed."""
    return [line for line in lines if line.answer in DECIDED]


def accepted(line: Line) -> bool:
    return line.answer == "accepted"


def asked(books: Books) -> list[Line]:
    """Those of the cohort whose customer was asked: the standing limit answers by itself, at once."""
    return [line for line in cohort(books) if line.channel != "limit"]


def answer_curve(books: Books) -> Curve:
    """The share of quotes without an answer by whole hours after the first one was sent."""
    counts: defaultdict[int, list[int]] = defaultdict(lambda: [0, 0])
    for line in asked(books):
        hours, answered = waited(line, books.now)
        counts[hours][not answered] += 1
    return curve_of({hours: (ended, silent) for hours, (ended, silent) in counts.items()})


def waited(line: Line, now: int) -> tuple[int, bool]:
    """Whole hours until the answer, rounded up, and True; without one the full hours that went by, and False."""
    if line.answer in ("accepted", "declined"):
        return -(-max(0, line.answered - line.first_sent) // HOUR), True
    return max(0, (line.answered or now) - line.first_sent) // HOUR, False


def brief(books: Books) -> list[Figure]:
    """Acceptance and what waits now: those of the weekly page."""
    return [_agreed(cohort(books)), *_now(books)]


def figures(books: Books) -> list[Figure]:
    """Acceptance, its parts apart, what waits now, and the answer time."""
    lines = cohort(books)
    found = [
        _agreed(lines),
        *(
            count_figure(
                f"quote-{fate}", name, [line for line in lines if line.answer == fate], counts="quote", mark="K8",
                means=f"{words} {COHORT}", open_orders=WAITING if fate == "waiting" else "Those waiting are counted apart.",
            )
            for fate, name, words in (
                ("declined", "Quotes declined", "Answered no: back as it is, or recycled."),
                ("lapsed", "Quotes that lapsed", "No answer came before the quote's last day."),
                ("waiting", "Quotes still waiting", "No answer yet."),
            )
        ),
        *_times(books),
    ]  # fmt: skip
    return [*found, *_now(books)]


def _agreed(lines: list[Line]) -> Figure:
    return share_figure(
        "quote-accepted", "Quotes agreed to", of=decided(lines), counted=accepted, counts="quote", mark="K8",
        means="Agreed to, of those agreed to, declined or lapsed. " + COHORT,
        open_orders=WAITING,
    )  # fmt: skip


def _times(books: Books) -> list[Figure]:
    curve, lines = answer_curve(books), asked(books)
    hours = curve.percentile(HALF)
    low, high = curve.percentile_interval(HALF)
    means = "From the first quote until the answer (Kaplan and Meier). What the standing limit answers at once is left out."
    found = [
        Figure(
            key="quote-answer-median", name="Half have answered by", value=_days(hours), unit="days", n=len(lines),
            low=_days(low), high=_days(high), interval="log-log, 95 %", means=means, open_orders=SILENT,
            behind=orders(lines), counts="quote", mark="K27",
        )
    ]  # fmt: skip
    for day in DAYS:
        step = curve.at(day * DAY_HOURS)
        share = 1 - step.open_share if step else (0.0 if lines else None)
        found.append(
            Figure(
                key=f"quote-answered-{day}", name=f"Answered within {day} {'day' if day == 1 else 'days'}", value=share,
                unit="share", n=len(lines), low=1 - step.high if step else None, high=1 - step.low if step else None,
                interval="log-log, 95 %", means="Of the same quotes, by the same estimate as the half.",
                open_orders="The silent count as long as they waited.", behind=orders(lines), counts="quote", mark="K27",
            )
        )  # fmt: skip
    return found


def _now(books: Books) -> list[Figure]:
    """What waits for an answer today, whenever it was sent; nothing for a window that is over."""
    if books.window.until <= books.now:
        return []
    waiting = [line for line in books.here() if line.answer == "waiting" and line.first_sent]
    longest = max((books.now - line.first_sent for line in waiting), default=None)
    means = "Quotes without an answer now, whenever they were sent"
    seen = "Only orders still here."
    return [
        count_figure(
            "quote-waiting-now", "Quotes waiting now", waiting, means=f"{means}.", open_orders=seen, mark="K8",
            counts="quote",
        ),
        Figure(
            key="quote-waiting-worth", name="Worth of quotes waiting", value=sum(line.quoted for line in waiting),
            unit="money", n=len(waiting), means="Their totals with tax.", open_orders=seen,
            behind=orders(waiting), counts="quote", mark="K8", always=True,
        ),
        Figure(
            key="quote-waiting-longest", name="Longest waiting quote", unit="days",
            value=None if longest is None else longest / (HOUR * DAY_HOURS), n=len(waiting),
            means="Since the first quote of the one that waits longest.", open_orders=seen,
            behind=orders(waiting), counts="quote", mark="K8", always=True,
        ),
    ]  # fmt: skip


def _days(hours: float | None) -> float | None:
    return None if hours is None else hours / DAY_HOURS
