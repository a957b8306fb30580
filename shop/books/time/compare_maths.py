"""Whether the two largest groups of a breakdown differ in how long they take, in words. Pure."""

from collections import Counter
from collections.abc import Callable

from shop.books.figures import FEW
from shop.books.lines import Books, Line
from shop.books.log_rank_maths import log_rank

BY: dict[str, Callable[[Line], str]] = {
    "family": lambda line: line.family,
    "fault": lambda line: line.fault,
}


def compared(books: Books, by: str) -> str:
    """The sentence under a breakdown; empty where it is none of `BY`, or a group has fewer than ten orders."""
    if (of := BY.get(by)) is None:
        return ""
    came = [line for line in books.came() if of(line)]
    largest = [(word, n) for word, n in Counter(map(of, came)).most_common(2) if n >= FEW]
    if len(largest) < 2:
        return ""
    (first, n), (second, m) = largest
    stays = [[line.stay(books.now) for line in came if of(line) == word] for word in (first, second)]
    found = log_rank(*stays)
    if found is None:
        return ""
    return (
        f"The two largest, {first} ({n}) and {second} ({m}): were they alike, a gap as large as theirs would come "
        f"{_chance(found.p)} (log-rank, chi-squared {found.chi2:.2f})."
    )


def _chance(p: float) -> str:
    if p < 0.001:
        return "fewer than once in a thousand times"
    return f"{p * 100:.0f} times in a hundred" if p >= 0.015 else f"{p * 1000:.0f} times in a thousand"
