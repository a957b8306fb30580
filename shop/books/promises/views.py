"""The page of promises and quotes."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.access import owner_only
from shop.books.page import page
from shop.books.promises import drawings

LISTS = {
    "promises": ("promise-first", "promise-last", "promise-missed", "promise-to-come", "promise-error-median",
                 "promise-error-90"),
    "answers": ("quote-accepted", "quote-declined", "quote-lapsed", "quote-waiting-now", "quote-waiting-worth",
                "quote-waiting-longest"),
    "times": ("quote-answer-median", "quote-answered-1", "quote-answered-3", "quote-answered-7", "quote-answered-14",
              "quote-answered-21"),
    "work": ("quote-no-fix", "quote-not-mendable", "promise-comebacks", "quote-idea-right", "quote-idea-kappa"),
}  # fmt: skip


@never_cache
@require_safe
@owner_only
def promises(request: HttpRequest) -> HttpResponse:
    """What was promised and kept, offered and agreed to, and what came back."""
    return page(
        request, "promises", "shop/books/promises.html", lists=LISTS, cohort_chart=drawings.cohorts,
        answer_chart=drawings.answers,
    )  # fmt: skip
