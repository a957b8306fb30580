"""The parts that are in a mended device, in the customer's words: what was agreed, and what went on besides."""

from django.db.models import Sum

from intake.models import Order
from quotes import decisions
from quotes.agreed import agreed_lines
from quotes.models import Move, Part
from quotes.part_words import NEW, named_as


def parts_in_words(order: Order) -> tuple[str, ...]:
    """One line a part, each with its condition: "Speaker (from a donor board)", "Jumper wire (new)".

    The agreed parts first, as the quote calls them; then those that were fitted and stand on no line.
    """
    quote = decisions.agreed_quote(order)
    lines = [line for line in (agreed_lines(quote.decision) if quote else []) if line.part_id]
    agreed = [_said(line.text, line.condition) for line in lines]
    besides = _fitted(order, known={line.part_id for line in lines})
    return (*agreed, *(_said(part.name, part.get_condition_display()) for part in besides))


def _said(text: str, condition: str) -> str:
    return f"{text} ({NEW})" if condition == NEW else named_as(text, condition)


def _fitted(order: Order, *, known: set[int | None]) -> list[Part]:
    """Parts of which more was fitted than put back, in the order of their numbers."""
    moves = Move.objects.filter(order=order, kind=Move.Kind.CONSUME).order_by().values("part_id")
    on = [row["part_id"] for row in moves.annotate(sum=Sum("on_hand_change")) if row["sum"] < 0]
    return list(Part.objects.filter(pk__in=set(on) - known).order_by("number"))
