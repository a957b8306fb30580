"""Work that could not be done: no fix after a yes, and not repairable when it was looked at. Pure."""

from shop.books.figures import Figure
from shop.books.lines import Books, Line
from shop.books.promises.shares import share_figure

NO_FIX = "no fix"


def tried(books: Books) -> list[Line]:
    """Orders that left in the window after a yes, mended or not; comebacks left out."""
    return [
        line
        for line in books.gone()
        if not line.comeback_of and line.answer == "accepted" and (line.mended or line.outcome == NO_FIX)
    ]


def looked_at(books: Books) -> list[Line]:
    """Orders with a finding that left in the window; comebacks left out."""
    return [line for line in books.gone() if line.idea and not line.comeback_of]


def not_offered(line: Line) -> bool:
    """Sent back from the diagnosis: the finding said that it cannot be mended, so that no quote went out."""
    return line.outcome == NO_FIX and not line.first_sent


def figures(books: Books) -> list[Figure]:
    """K10 and K11."""
    return [
        share_figure(
            "quote-no-fix", "No fix after a yes", of=tried(books), counted=lambda line: line.outcome == NO_FIX, mark="K10",
            means="Repairs that could not be done, of those agreed to and tried to the end; comebacks are left out.",
            open_orders="Orders still here are left out.",
        ),
        share_figure(
            "quote-not-mendable", "Not repairable at diagnosis", of=looked_at(books), counted=not_offered, mark="K11",
            means="Orders sent back without a quote since the finding said that they cannot be mended, of those with a finding; "
            "comebacks are left out.",
            open_orders="Orders still here are left out.",
        ),
    ]  # fmt: skip
