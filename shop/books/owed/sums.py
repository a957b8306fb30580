"""Money out and in: every figure and table of the page. Pure."""

from shop.books.figures import Figure, Table
from shop.books.lines import Books
from shop.books.owed import device_maths, money_maths, stock_maths, tax_maths, trade_maths
from shop.books.owed.shapes import Extra


def figures(books: Books, extra: Extra) -> list[Figure]:
    """What stands now, for a window that reaches up to now; and what went through in the window.

    For a window that is over only the latter: what stood then is not kept, and nothing is compared with it.
    """
    flowing = [
        *tax_maths.flowing(books, extra),
        *stock_maths.flowing(books, extra),
        *device_maths.flowing(books, extra),
        *trade_maths.flowing(books, extra),
    ]
    if books.window.until <= books.now:
        return flowing
    return [
        *money_maths.standing(books, extra),
        *stock_maths.standing(books, extra),
        *device_maths.standing(books, extra),
        *flowing,
    ]


def tables(books: Books, extra: Extra) -> list[Table]:
    """Every table of the page."""
    return [
        *money_maths.tables(books, extra),
        *tax_maths.tables(books, extra),
        *device_maths.tables(books, extra),
        *stock_maths.tables(books, extra),
        *trade_maths.tables(books, extra),
    ]
