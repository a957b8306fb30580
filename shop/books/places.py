"""The pages of the books, in the order an owner reads them."""

from django.urls import reverse

from shop.books.registry import SLICES

AROUND = (
    ("Replay", "shop:books_replay"),
    ("Months", "shop:books_months"),
    ("Tables", "shop:books_tables"),
)


def places() -> list[tuple[str, str]]:
    """Words and address of each page."""
    named = [("This week", "shop:books"), *((part.name, part.url) for part in SLICES), *AROUND]
    return [(words, reverse(name)) for words, name in named]
