"""What the page of promises and quotes must show of the demonstration's twelve orders, to the digit."""

from collections.abc import Mapping

from intake.models import Order
from shop.books.figures import Figure
from shop.books.lines import Books, Line
from shop.books.promises import queries, sums
from shop.books.promises.shapes import Extra

# Both count each board by itself: three of the batch were mended, one was tried and given up.
NO_FIX = (2, 10, 6, 51)


def check(books: Books, named: dict[str, Order]) -> None:
    """`books` hold the lines of the twelve alone, the batch as its four boards.

    The printed table counts promises and quotes of the batch once, and takes Hollis for waiting; his quote ran out on 27 January,
    21 days after it was sent, so that the books say lapsed and count him: 7 of 10 by parcels, 10 of 13 by boards.
    """
    extra = queries.extra(books)
    once = books.only(
        lambda line: line.customer != named["stallmere"].customer_id or line.order == named["stallmere"].pk
    )
    _promises(books, once, extra, named)
    _quotes(books, once, extra, named)
    whole = _figures(books, extra)
    assert _share(whole["quote-no-fix"]) == NO_FIX
    assert named["lenka"].pk in whole["quote-no-fix"].behind
    assert whole["quote-not-mendable"].k == 0


def _promises(books: Books, once: Books, extra: Extra, named: dict[str, Order]) -> None:
    found = _figures(once, extra)
    assert (found["promise-first"].k, found["promise-first"].n) == (7, 8)
    assert (found["promise-last"].k, found["promise-last"].n) == (8, 8)
    assert found["promise-missed"].behind == (named["ines"].pk,)
    assert found["promise-again"].behind == (named["ines"].pk,)
    by_board = _figures(books, extra)
    assert (by_board["promise-first"].k, by_board["promise-first"].n) == (10, 11)


def _quotes(books: Books, once: Books, extra: Extra, named: dict[str, Order]) -> None:
    found = _figures(once, extra)
    assert (found["quote-accepted"].k, found["quote-accepted"].n) == (7, 10)
    assert found["quote-declined"].value == 2
    assert found["quote-waiting"].behind == (named["yusra"].pk,)
    assert found["quote-lapsed"].behind == (named["hollis"].pk,)
    assert named["wendeline"].pk not in found["quote-accepted"].behind
    printed = _figures(_still_waiting(once, named["hollis"].pk), extra)
    assert _share(printed["quote-accepted"]) == (7, 9, 45, 94)
    assert printed["quote-waiting"].value == 2
    by_board = _figures(books, extra)
    assert (by_board["quote-accepted"].k, by_board["quote-accepted"].n) == (10, 13)


def _still_waiting(books: Books, order: int) -> Books:
    """As if one quote had no last day."""

    def open_ended(line: Line) -> Line:
        return line._replace(answer="waiting", answered=0) if line.order == order else line

    return Books(books.house, books.now, books.window, tuple(open_ended(line) for line in books.lines))


def _figures(books: Books, extra: Extra) -> Mapping[str, Figure]:
    return {figure.key: figure for figure in sums.figures(books, extra)}


def _share(figure: Figure) -> tuple[int | None, int, int, int]:
    """Counted, of how many, and the limits in whole per cent."""
    assert figure.low is not None and figure.high is not None
    return figure.k, figure.n, round(figure.low * 100), round(figure.high * 100)
