"""The page of one slice of the books: its figures with those before, its tables, the period chosen."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from shop.access import now
from shop.books import finding, gather, registry
from shop.books.figures import Figure, Table, compared
from shop.books.lines import Books
from shop.books.order_views import about
from shop.books.periods import before
from shop.books.showing import Shown, ShownTable, shown, shown_table, wanted


def page(
    request: HttpRequest,
    key: str,
    template: str,
    *,
    lists: Mapping[str, Sequence[str]] | None = None,
    **context: Any,
) -> HttpResponse:
    """Render a slice: `figures` and `tables` by key with _ for -, `books`, `rest` (what the slice read beside the lines) and
    all that `about` says. `lists`: keys of figures by a name, given to the template as `lists` of shown figures. Values of `context` that can be called are called with (books, rest)."""
    books = finding.open_period(request.GET.get("period", ""), at=now())
    part = registry.named(key)
    rest, figures = counted(part, books)
    given = {name: value(books, rest) if callable(value) else value for name, value in context.items()}
    words: dict[str, Any] = {
        "books": books,
        "rest": rest,
        "slice": part,
        "figures": (told := named_figures(figures, books)),
        "lists": {name: _listed(keys, told) for name, keys in (lists or {}).items()},
        "tables": named_tables(part.tables(books, rest), books),
    }
    return render(request, template, about(books) | words | given)


def counted(part: registry.Slice, books: Books) -> tuple[Any, list[Figure]]:
    """What a slice read, and its figures with those of the window before beside them."""
    rest = part.read(books)
    figures = list(part.figures(books, rest))
    earlier = before(books.window, house=books.house)
    if earlier is None:
        return rest, figures
    past = books.within(earlier)
    return rest, compared(figures, list(part.figures(past, part.read(past))))


def named_figures(figures: Iterable[Figure], books: Books) -> dict[str, Shown]:
    """Figures in words, by keys a template can ask for."""
    return {_name(figure.key): shown(figure, books) for figure in figures}


def named_tables(tables: Iterable[Table], books: Books) -> dict[str, ShownTable]:
    """Tables in words, by keys a template can ask for. Three queries at most."""
    all_of_them = list(tables)
    pks = wanted(all_of_them)
    names = (gather.codes(pks["order"]), gather.customers(pks["customer"]), gather.persons(pks["person"]))
    return {_name(table.key): shown_table(table, books, *names) for table in all_of_them}


def _listed(keys: Iterable[str], told: Mapping[str, Shown]) -> list[Shown]:
    return [told[_name(key)] for key in keys if _name(key) in told]


def _name(key: str) -> str:
    return key.replace("-", "_")
