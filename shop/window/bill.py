"""What a quote shows, as the page draws it: each choice, its bill, what it leads to. Read from the frozen record alone."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from intake import wording
from intake.house import house
from quotes.models import Quote
from quotes.offered import (
    Change,
    Offered,
    ShownLine,
    ShownTax,
    changes_of,
    deposit_of,
    offered,
    offered_as,
)
from shop.window.words import day

SET_OFF = "It is set off from the bill, and what is over is paid back."


@dataclass(frozen=True)
class Block:
    """One choice on the page: its name, what it costs, what it means (label and words), its bill if work is in it."""

    offered: Offered
    price: str
    facts: list[tuple[str, str]]
    bill: dict[str, Any] | None
    unfolded: bool


def money(amount: Decimal | str, currency: str) -> str:
    return wording.money(Decimal(amount), currency, house().locale)


def bill_of(quote: Quote, choice: str = "mend", extras: Sequence[str] = ()) -> dict[str, Any]:
    """Keys of frame/bill.html for a choice with the extras that were taken; an unknown choice has an empty bill."""
    row = offered_as(quote.shown, choice) or Offered(choice, "", None)
    inclusive = quote.shown["tax_inclusive"]
    sums = [tax_row(tax, inclusive, quote.currency) for tax in row.taxes if tax.tax or tax.reason]
    taken = row.taken(extras)
    if taken:
        sums.append({"words": "Without extras", "amount": row.total})
        sums += [{"words": f"{extra.text}, tax counted in", "amount": adds} for extra, adds in taken]
    return {
        "caption": "What the price is made of",
        "currency": quote.currency,
        "lines": [line_row(line, quote.currency) for line in row.lines if not line.extra],
        "sums": sums,
        "total": {"words": "One fixed price, all in", "amount": row.total_with(extras)},
    }


def line_row(line: ShownLine, currency: str) -> dict[str, Any]:
    notes = []
    if line.quantity != 1:
        notes.append(f"{line.quantity.normalize():f} of them")
    if line.amount < 0:
        notes.append("taken off the price")
    if line.allowance:
        notes.append(f"{money(line.allowance, currency)} taken off already")
    if line.charge:
        notes.append(f"{money(line.charge, currency)} added already")
    return {"words": line.text, "note": ", ".join(notes), "amount": line.amount}


def tax_row(tax: ShownTax, inclusive: bool, currency: str) -> dict[str, Any]:
    """A row of tax; where there is none for a reason, the reason in words."""
    if not tax.tax and tax.reason:
        return {
            "words": f"No {tax.name} on {money(tax.base, currency)}: {tax.reason}",
            "amount": tax.tax,
        }
    words = f"{tax.name} {tax.rate.normalize():f} %"
    return {"words": f"Counted in: {words}" if inclusive else words, "amount": tax.tax}


def blocks_of(quote: Quote) -> list[Block]:
    """Every choice of the quote, as the page shows it."""
    rows = offered(quote.shown)
    works = sum(row.is_work for row in rows)
    return [
        Block(
            offered=row,
            price=price_words(row, quote.currency),
            facts=facts_of(row, quote),
            bill=bill_of(quote, row.choice) if row.lines else None,
            unfolded=works == 1,
        )
        for row in rows
    ]


def price_words(row: Offered, currency: str) -> str:
    """'$112.32', 'Nothing to pay', or nothing where the total is told elsewhere."""
    if row.total is None:
        return ""
    return money(row.total, currency) if row.total else "Nothing to pay"


def facts_of(row: Offered, quote: Quote) -> list[tuple[str, str]]:
    """What a choice means, label and words: its day, warranty, chance, the data, what happens if it fails, its deposit."""
    deposit = deposit_of(quote.shown) if row.choice == "mend" else None
    rows = [
        ("Done by", day(row.promise) if row.promise else ""),
        ("Warranty", warranty_words(row, quote)),
        ("Chance", row.chance),
        ("Your data", row.data_words),
        (if_it_fails(row), fails_words(row, quote)),
        ("Deposit", deposit_words(quote) if deposit else ""),
    ]
    return [(label, words) for label, words in rows if words]


def if_it_fails(row: Offered) -> str:
    return "If the repair fails" if row.choice == "mend" else "If it fails"


def fails_words(row: Offered, quote: Quote) -> str:
    """What is owed then, what for, and what happens; only for a choice with work in it."""
    if row.no_fix_total is None or not row.is_work:
        return row.fails_words
    told = quote.shown["no_fix"]
    made_of = told["made_of"].rstrip(".") if row.choice == "mend" and row.no_fix_total else ""
    owed = money(row.no_fix_total, quote.currency)
    said = f"You pay {owed} and no more" + (f" ({made_of})." if made_of else ".")
    more = row.fails_words or (told["words"] if row.choice == "mend" else "")
    return f"{said} {more}".strip()


def warranty_words(row: Offered, quote: Quote) -> str:
    if row.choice == "mend" and quote.shown["warranty_words"] and row.warranty_days:
        return str(quote.shown["warranty_words"])
    if not row.warranty_days:
        return "None beyond your rights by law." if row.is_work else ""
    return (
        f"{row.warranty_days} days from the day it is back with you, on the work done and the parts fitted."
    )


def deposit_words(quote: Quote) -> str:
    """How much is asked for before the part is ordered, and what becomes of it; "" where nothing is."""
    deposit = deposit_of(quote.shown)
    if deposit is None:
        return ""
    said = (
        f"Before we order the part we ask for {money(deposit.amount, quote.currency)}. "
        "It is part of the price, not on top."
    )
    return f"{said} {deposit.words or SET_OFF}"


def changes_table(quote: Quote) -> dict[str, Any] | None:
    """What has changed since the revision before: rows of words, before, after, difference; None where nothing did."""
    rows = changes_of(quote.shown)
    if not rows:
        return None
    total = sum((row.change for row in rows), Decimal(0))
    return {
        "replaces": quote.shown.get("replaces") or quote.revision - 1,
        "rows": [_change_row(row, quote.currency) for row in rows],
        "difference": signed(total, quote.currency),
    }


def _change_row(row: Change, currency: str) -> dict[str, str]:
    return {
        "text": row.text,
        "before": "not on it" if row.before is None else money(row.before, currency),
        "after": "no longer on it" if row.after is None else money(row.after, currency),
        "change": signed(row.change, currency),
    }


def signed(amount: Decimal, currency: str) -> str:
    """A difference with its sign: '+£5.00', '-£7.90', '£0.00'."""
    return f"{'+' if amount > 0 else ''}{money(amount, currency)}"


def under_choices(quote: Quote) -> dict[str, str]:
    """A line for each choice: what it costs in all, and what it leads to."""
    return {row.choice: _under(row, quote) for row in offered(quote.shown)}


def _under(row: Offered, quote: Quote) -> str:
    words = [to_pay(row, quote.currency)] if row.total is not None else []
    if row.promise:
        words.append(f"We mean to have it done by {day(row.promise)}.")
    if row.words and row.words != "Nothing to pay.":
        words.append(row.words)
    return " ".join(words)


def to_pay(row: Offered, currency: str) -> str:
    """What a choice costs in all, as a sentence."""
    return f"{money(row.total, currency)} in all." if row.total else "Nothing to pay."


def choice_of(quote: Quote, name: str) -> dict[str, Any] | None:
    """The choice of that name as the record has it, or None."""
    for choice in quote.shown["choices"]:
        if choice["choice"] == name:
            return dict(choice)
    return None


def extras_said(row: Offered, taken: Iterable[str], currency: str) -> list[str]:
    """The extras that were taken, each with what it adds."""
    return [f"{extra.text}, {money(adds, currency)} more" for extra, adds in row.taken(taken)]
