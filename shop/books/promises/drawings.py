"""The drawings of promises and quotes: cohorts by month, and the curve of answers. Pure."""

from fractions import Fraction

from shop.books.charts import Chart, CurveStep, Mark, Stack, curve, stacked
from shop.books.figure_words import month_said
from shop.books.lines import Books
from shop.books.promises.answer_sums import DAY_HOURS, FATES, LAST_DAY, answer_curve
from shop.books.promises.answer_tables import by_month
from shop.books.promises.shapes import Extra

EIGHT_IN_TEN = Fraction(4, 5)


def cohorts(books: Books, extra: Extra) -> Chart | None:
    """A bar a month, cut by what became of its quotes; None without a quote."""
    rows = [
        Stack(month_said(month), tuple(counts[fate] for fate in FATES), _share(counts["accepted"], counts.total() - counts["waiting"]))
        for month, counts in by_month(books)
    ]  # fmt: skip
    return stacked(rows, FATES, title="Quotes by the month they were sent") if rows else None


def _share(accepted: int, decided: int) -> str:
    return f"{accepted} of {decided} decided" if decided else "none decided yet"


def answers(books: Books, extra: Extra) -> Chart | None:
    """The share answered by day, with its band; None where nobody has answered."""
    known = answer_curve(books)
    last = LAST_DAY * DAY_HOURS
    steps = [
        CurveStep(step.time / DAY_HOURS, 1 - step.open_share, 1 - step.high, 1 - step.low)
        for step in known.steps
        if step.time <= last
    ]
    if not steps:
        return None
    marks = [
        Mark(float(share), time / DAY_HOURS, f"{words} by day {time / DAY_HOURS:.1f}")
        for share, words in ((Fraction(1, 2), "half"), (EIGHT_IN_TEN, "eight in ten"))
        if (time := known.percentile(share)) is not None and time <= last
    ]
    return curve(steps, title="Answered by day", marks=marks, unit="Days after the first quote",
                 desc="" if marks else "Fewer than half have answered.")  # fmt: skip
