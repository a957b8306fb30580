"""Changing a quote that is being put together, one line at a time. Each change names the draft the person saw."""

import datetime as dt
from decimal import Decimal
from typing import Any

from django.db.models import Q

from intake.history import in_turn
from intake.lifecycle import SheetMoved
from intake.models import Order
from intake.stations import Station
from quotes.choice_sums import EXTRAS, MEND, WORK
from quotes.drafts import check_deposit, draft_of, price_draft, save_draft
from quotes.models import Part, QuoteDraft, Rates, Remedy, Surcharge
from quotes.refusals import Refused
from quotes.showing import extra_names

CHANGED = "The quote was changed in another window. Here is how it stands now; please do it once more."
ELSEWHERE = "This order is not at the quote any more. Here is how it stands now."
LONGEST_LIST = 5


def _open(order: Order, seen: int, at: dt.datetime) -> QuoteDraft:
    """The draft, locked, if it is still the one the person saw."""
    if not Order.objects.filter(pk=order.pk, station=Station.QUOTE).exists():
        raise SheetMoved(ELSEWHERE)
    draft_of(order, at=at)
    draft = QuoteDraft.objects.select_for_update().get(order=order)
    if draft.version != seen:
        raise Refused(CHANGED)
    return draft


def _save(draft: QuoteDraft, lines: list[dict[str, Any]], at: dt.datetime, **more: Any) -> QuoteDraft:
    """A line for a choice that is not offered yet offers it."""
    asked = {line.get("choice", MEND) for line in lines} - {line.get("choice", MEND) for line in draft.lines}
    new = {name: {**draft.choices.get(name, {}), "on": True} for name in asked - {MEND}}
    if new and "choices" not in more:
        more["choices"] = {**draft.choices, **new}
    return save_draft(draft=draft, lines=lines, words=draft.words, promise=draft.promise, at=at, **more)


@in_turn
def add(*, order: Order, seen: int, line: dict[str, Any], at: dt.datetime) -> QuoteDraft:
    """Put a line on the draft, before the return post. Raises Refused, SheetMoved."""
    draft = _open(order, seen, at)
    lines = list(draft.lines)
    place = next((number for number, row in enumerate(lines) if row["kind"] == "post"), len(lines))
    if line["kind"] == "post":
        place = len(lines)
    lines.insert(place, line)
    return _save(draft, lines, at)


@in_turn
def change(
    *,
    order: Order,
    seen: int,
    number: int,
    quantity: Decimal,
    price: Decimal | None,
    at: dt.datetime,
    text: str = "",
    choice: str = "",
    extra: str | None = None,
) -> QuoteDraft:
    """Set quantity and price of a line (1 is the first). No price: the rule's. No text: the text stays.

    `choice`: the one it is for, empty as it is. `extra`: the name of the optional extra it belongs to, empty for none,
    None as it is. Raises Refused, SheetMoved.
    """
    draft = _open(order, seen, at)
    lines = [dict(row) for row in draft.lines]
    row = lines[_place(number, lines)]
    if row.get("part") and quantity != quantity.to_integral_value():
        raise Refused("Parts are whole pieces.", field="quantity")
    row["quantity"] = f"{quantity.normalize():f}"
    row["price"] = None if price is None else str(price)
    if text.strip():
        row["text"] = text.strip()[:200]
    if choice:
        row["choice"] = choice
    if extra is not None:
        _name_extra(row, lines, extra.strip())
    return _save(draft, lines, at)


def _name_extra(row: dict[str, Any], lines: list[dict[str, Any]], name: str) -> None:
    """Lines of one name are one extra, in whatever choice; a quote holds three at most, so that each set has a total."""
    row.pop("extra", None)
    row.pop("extra_text", None)
    if not name:
        return
    if row["kind"] == "post":
        raise Refused("The return post is always in it.", field="extra_text")
    names = extra_names(lines)
    known = next((key for key, text in names.items() if text.casefold() == name.casefold()), None)
    free = next((key for key in EXTRAS if key not in names), None)
    if known is None and free is None:
        raise Refused("A quote holds at most three optional extras.", field="extra_text")
    row["extra"], row["extra_text"] = known or free, names.get(known or "", name)[:80]


@in_turn
def remove(*, order: Order, seen: int, number: int, at: dt.datetime) -> QuoteDraft:
    """Take a line off the draft."""
    draft = _open(order, seen, at)
    lines = list(draft.lines)
    del lines[_place(number, lines)]
    return _save(draft, lines, at)


def _place(number: int, lines: list[dict[str, Any]]) -> int:
    if not 1 <= number <= len(lines):
        raise Refused("That line is not on the quote any more.")
    return number - 1


@in_turn
def say(*, order: Order, seen: int, words: str, promise: dt.date | None, at: dt.datetime) -> QuoteDraft:
    """Keep the words above the price and the day that is promised."""
    draft = _open(order, seen, at)
    return save_draft(draft=draft, lines=draft.lines, words=words, promise=promise, at=at)


@in_turn
def offer(*, order: Order, seen: int, choices: dict[str, dict[str, Any]], at: dt.datetime) -> QuoteDraft:
    """Keep which further choices are offered, and the words of each. Raises Refused, SheetMoved."""
    draft = _open(order, seen, at)
    unknown = set(choices) - set(WORK)
    if unknown:
        raise Refused(f"There is no choice called {min(unknown)}.")
    return _save(draft, draft.lines, at, choices={**draft.choices, **choices})


@in_turn
def ask_deposit(
    *, order: Order, seen: int, amount: Decimal | None, words: str, at: dt.datetime
) -> QuoteDraft:
    """Ask for a deposit, or for none. Raises Refused (field "deposit") where no special part is on it, SheetMoved."""
    draft = _open(order, seen, at)
    mend = price_draft(draft.lines, order, Rates.current())[MEND]
    check_deposit(draft.lines, amount, mend.priced.total)
    return _save(draft, draft.lines, at, deposit=amount or None, deposit_words=words.strip()[:200])


def surcharge_line(surcharge: Surcharge) -> dict[str, Any]:
    """A surcharge of the price book as a line of a draft; its price is worked out with the others."""
    return {
        "kind": surcharge.kind,
        "surcharge": surcharge.pk,
        "quantity": "1",
        "still_charged": surcharge.still_charged,
    }


def part_meant(typed: str) -> Part:
    """The part of a scanned or typed number, or of a name that fits just one. Raises Refused, field "part"."""
    words = typed.strip()
    if not words:
        raise Refused("Scan a part, or type its number or name.", field="part")
    exact = Part.objects.filter(number__iexact=words.split()[0]).first()
    if exact is not None:
        return exact
    found = list(
        Part.objects.filter(Q(name__icontains=words) | Q(number__icontains=words), active=True)[
            : LONGEST_LIST + 1
        ]
    )
    if len(found) == 1:
        return found[0]
    if not found:
        raise Refused(
            f"No part in the stockroom is called {words[:40]}. Put it into the stockroom first, or write it "
            f"as another line.",
            field="part",
        )
    numbers = ", ".join(f"{part.number} ({part.name})" for part in found[:LONGEST_LIST])
    more = " and more" if len(found) > LONGEST_LIST else ""
    raise Refused(f"Several parts fit: {numbers}{more}. Type the number.", field="part")


def remedy_meant(typed: str) -> Remedy:
    """The remedy of a name typed in full or in part. Raises Refused, field "remedy"."""
    words = typed.strip()
    if not words:
        raise Refused("Choose what is to be done.", field="remedy")
    active = Remedy.objects.filter(active=True)
    exact = active.filter(name__iexact=words).first()
    if exact is not None:
        return exact
    found = list(active.filter(Q(name__icontains=words) | Q(plain__icontains=words))[: LONGEST_LIST + 1])
    if len(found) == 1:
        return found[0]
    if not found:
        raise Refused(
            f"No remedy is called {words[:40]}. Write it as another line, kind labour.", field="remedy"
        )
    names = "; ".join(remedy.name for remedy in found[:LONGEST_LIST])
    raise Refused(f"Several remedies fit: {names}. Type more of the name.", field="remedy")
