"""What the lines do not hold: nothing."""

from shop.books.lines import Books
from shop.books.week.shapes import Extra


def extra(_books: Books) -> Extra:
    """No query."""
    return Extra()
