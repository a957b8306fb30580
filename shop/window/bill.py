"""What a quote shows, as the page draws it: the bill, and a line under each choice. Read from the frozen record alone."""

from decimal import Decimal
from typing import Any

from intake import wording
from intake.house import house
from quotes.models import Quote
from shop.window.words import day


def money(amount: Decimal | str, currency: str) -> str:
    return wording.money(Decimal(amount), currency, house().locale)


def bill_of(quote: Quote) -> dict[str, Any]:
    """Keys of frame/bill.html."""
    shown = quote.shown
    inclusive = shown["tax_inclusive"]
    sums = [
        {"words": f"{tax['name']} {_percent(tax['rate'])}", "amount": Decimal(tax["tax"])}
        for tax in shown["taxes"]
    ]
    for line in sums if inclusive else []:
        line["words"] = f"Counted in: {line['words']}"
    return {
        "caption": "What the price is made of",
        "currency": shown["currency"],
        "lines": [
            {
                "words": line["text"],
                "note": ""
                if Decimal(line["quantity"]) == 1
                else f"{Decimal(line['quantity']).normalize():f} of them",
                "amount": Decimal(line["amount"]),
            }
            for line in shown["lines"]
        ],
        "sums": sums,
        "total": {"words": "One fixed price, all in", "amount": Decimal(shown["total"])},
    }


def _percent(rate: str) -> str:
    return f"{Decimal(rate).normalize():f} %"


def under_choices(quote: Quote) -> dict[str, str]:
    """A line for each choice: what it costs in all, and what it leads to."""
    return {choice["choice"]: _under(choice, quote) for choice in quote.shown["choices"]}


def _under(choice: dict[str, str], quote: Quote) -> str:
    words = [to_pay(choice, quote)] if choice["total"] else []
    if choice["choice"] == "mend" and quote.promise:
        words.append(f"We mean to have it done by {day(quote.promise)}.")
    if choice["words"] and choice["words"] != "Nothing to pay.":
        words.append(choice["words"])
    return " ".join(words)


def to_pay(choice: dict[str, str], quote: Quote) -> str:
    """What a choice costs in all, as a sentence."""
    return (
        f"{money(choice['total'], quote.currency)} in all." if Decimal(choice["total"]) else "Nothing to pay."
    )


def choice_of(quote: Quote, name: str) -> dict[str, str] | None:
    """The choice of that name on the quote, or None."""
    for choice in quote.shown["choices"]:
        if choice["choice"] == name:
            return dict(choice)
    return None
