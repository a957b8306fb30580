"""One answer read back before it binds: the choice with its extras, the exact total, the button's words, the consents."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from intake.models import Order
from quotes.agreed import agreed_quote
from quotes.consents import Consent, consents_for
from quotes.models import Quote
from quotes.offered import Offered, offered
from shop.window.bill import bill_of, deposit_words, extras_said, facts_of, money

# Answers after which nothing is mended.
REFUSALS = ("back", "recycle")


@dataclass(frozen=True)
class Reading:
    """What the customer picked, before they sign. `extras` are the keys they ticked, sorted."""

    order: Order
    quote: Quote
    row: Offered
    extras: tuple[str, ...] = ()

    @property
    def is_offered(self) -> bool:
        """Whether these extras can be had with this choice, together."""
        return not self.extras or self.total is not None

    @property
    def total(self) -> Decimal | None:
        """What it comes to in all, from the frozen totals; None where it is told elsewhere."""
        return self.row.total_with(self.extras)

    @property
    def price(self) -> str:
        return money(self.total, self.quote.currency) if self.total else ""

    @property
    def standing(self) -> str:
        """What the first agreement comes to, where the answer keeps to it."""
        agreed = agreed_quote(self.order) if self.row.choice == "first" else None
        return money(agreed.decision.amount, agreed.currency) if agreed else ""

    @property
    def bill(self) -> dict[str, Any] | None:
        return bill_of(self.quote, self.row.choice, self.extras) if self.row.lines else None

    @property
    def facts(self) -> list[tuple[str, str]]:
        return [(label, words) for label, words in facts_of(self.row, self.quote) if label != "Deposit"]

    @property
    def deposit(self) -> str:
        return deposit_words(self.quote) if self.row.choice == "mend" else ""

    @property
    def taken(self) -> list[str]:
        return extras_said(self.row, self.extras, self.quote.currency)

    @property
    def left(self) -> list[str]:
        """Extras that were offered with this choice and not ticked."""
        return [extra.text for extra in self.row.extras if extra.key not in self.extras]

    @property
    def back(self) -> str:
        """The query that keeps what was picked, for the way back to the window."""
        picked = [("choice", self.row.choice)]
        return urlencode(picked + [("extras", f"{self.row.choice}:{key}") for key in self.extras])

    @property
    def again(self) -> bool:
        """Whether this is a second fault: an earlier agreement stands."""
        return any(row.choice == "first" for row in offered(self.quote.shown))

    @property
    def refused(self) -> bool:
        """Whether the answer is no: nothing is mended, so nothing can go up or show a second fault."""
        return self.row.choice in REFUSALS

    @property
    def button(self) -> str:
        """The words on the button that binds; kept with the decision."""
        sum_ = f" for {self.price}" if self.price else ", nothing to pay"
        return {
            "mend": f"Yes, mend {'both faults' if self.again else 'it'}{sum_}",
            "data": f"Yes, save the data{sum_}",
            "clean": f"Yes, clean it without a promise{sum_}",
            "back": f"Send it back as it is, {self.price}".rstrip(" ,"),
            "recycle": f"Wipe it and recycle it, {self.price}".rstrip(" ,"),
        }.get(self.row.choice, self.row.label)

    @property
    def consents(self) -> list[Consent]:
        return consents_for(
            self.row.choice,
            withdrawal_words=self.quote.shown["withdrawal_words"],
            data_at_stake=self.order.data_wish != "no",
        )
