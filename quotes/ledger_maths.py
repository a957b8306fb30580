"""What each event in money does to the accounts: legs that sum to nought by the way they are made.

Debit is above nought. Double entry as such, a deposit as a liability until the invoice, a disputed payment held apart, a
write-off without its tax: common practice, no source; what tax may be claimed back on a bad debt is for an adviser.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

MONEY = {"transfer": "bank", "cash": "cash", "card": "card"}
NOUGHT = Decimal(0)


class LedgerError(ValueError):
    """An event that cannot be booked; the message is a sentence."""


@dataclass(frozen=True)
class Leg:
    """One posting: an account, what kind within it ("" where it has none), an amount at the currency's digits, not nought."""

    account: str
    kind: str
    amount: Decimal


@dataclass(frozen=True)
class Document:
    """An invoice, or with all amounts below nought a credit note.

    `revenue`: net by kind of line. `taxes`: tax by kind (see `tax_kind`). `prepaid`: the deposit set off, on an invoice
    only. `rounding`: added for coins.
    """

    revenue: Mapping[str, Decimal]
    taxes: Mapping[str, Decimal]
    prepaid: Decimal = NOUGHT
    rounding: Decimal = NOUGHT

    @property
    def total(self) -> Decimal:
        """Net and tax, before deposit and rounding."""
        return sum(self.revenue.values(), NOUGHT) + sum(self.taxes.values(), NOUGHT)

    @property
    def owed(self) -> Decimal:
        """What it leaves to pay."""
        return self.total + self.rounding - self.prepaid


def tax_kind(category: str, percent: Decimal) -> str:
    """The category letter of EN 16931 and the percent, as "S 8"; without a letter S for a rate and Z for none."""
    return f"{category or ('S' if percent else 'Z')} {percent.normalize():f}"


def document(of: Document) -> tuple[Leg, ...]:
    """Receivable and deposit against revenue by kind, tax by category and rate, rounding."""
    return legs(
        ("receivable", "", of.owed),
        ("deposits", "", of.prepaid),
        *(("revenue", kind, -amount) for kind, amount in of.revenue.items()),
        *(("tax", kind, -amount) for kind, amount in of.taxes.items()),
        ("rounding", "", -of.rounding),
    )


def payment(
    *,
    kind: str,
    purpose: str,
    amount: Decimal,
    fee: Decimal = NOUGHT,
    short: Decimal = NOUGHT,
    rounding: Decimal = NOUGHT,
) -> tuple[Leg, ...]:
    """Money that came, or went back when `amount` is below nought; the provider keeps `fee` of it.

    `kind`: transfer, cash or card. `purpose`: bill, deposit or loss. A deposit first makes good what deposits lack
    (`short`) after a dispute. `rounding` is what coins could not pay of the sum due: it counts as paid. A loss, paid out beyond what is owed, is the shop's own and touches no customer's account.
    """
    lost = -amount if purpose == "loss" else NOUGHT
    made_good = max(min(amount, short), NOUGHT)
    held = amount - made_good if purpose == "deposit" else NOUGHT
    return legs(
        (money_account(kind), "", amount - fee),
        ("fees", "", fee),
        ("losses", "", lost),
        ("rounding", "", rounding),
        ("deposits", "", -held),
        ("receivable", "", held - amount - lost - rounding),
    )


def write_off(amount: Decimal) -> tuple[Leg, ...]:
    """What the shop gives up of what is owed."""
    return legs(("write_off", "", amount), ("receivable", "", -amount))


def dispute_opened(
    *, kind: str, purpose: str, amount: Decimal, fee: Decimal, deposit_held: Decimal = NOUGHT
) -> tuple[Leg, ...]:
    """The payer's bank took `amount` back for now. It is held apart and counts as not paid.

    Of a deposit that was not set off yet, `deposit_held`, nothing is owed: the money simply is not there any more.
    """
    lost = min(amount, deposit_held) if purpose == "deposit" else NOUGHT
    return legs(
        (money_account(kind), "", -amount - fee),
        ("fees", "", fee),
        ("deposits", "", lost),
        ("held", "", amount - lost),
    )


def dispute_won(
    *, kind: str, purpose: str, amount: Decimal, held: Decimal, short: Decimal = NOUGHT
) -> tuple[Leg, ...]:
    """The money came back. `held` is what its opening put into the held account; `short` is what deposits lack now of
    what was set off: that is made good first, and the rest is a deposit again."""
    again = amount - min(amount, short) if purpose == "deposit" else NOUGHT
    return legs(
        (money_account(kind), "", amount),
        ("deposits", "", -again),
        ("held", "", -held),
        ("receivable", "", held + again - amount),
    )


def dispute_lost(held: Decimal) -> tuple[Leg, ...]:
    """The money is gone for good: what was held is owed again. Nothing to book where it was a deposit not set off."""
    return legs(("held", "", -held), ("receivable", "", held))


def money_account(kind: str) -> str:
    """Where money of a kind of payment lies. Raises LedgerError for an unknown kind."""
    try:
        return MONEY[kind]
    except KeyError:
        raise LedgerError(f"There is no account for money that came by {kind!r}.") from None


def legs(*parts: tuple[str, str, Decimal]) -> tuple[Leg, ...]:
    """Legs of what is not nought. Raises LedgerError where they do not sum to nought, TypeError for a float."""
    if any(not isinstance(amount, Decimal) for _, _, amount in parts):
        raise TypeError("money is Decimal")
    made = tuple(Leg(*part) for part in parts if part[2])
    if off := out_of_balance(made):
        raise LedgerError(f"The two sides differ by {off}; nothing was booked.")
    return made


def out_of_balance(made: Iterable[Leg]) -> Decimal:
    """The sum of all legs: nought when all is well."""
    return sum((leg.amount for leg in made), NOUGHT)


def by_kind(pairs: Iterable[tuple[str, Decimal]]) -> dict[str, Decimal]:
    """Amounts added up by kind; kinds in the order they came."""
    sums: dict[str, Decimal] = {}
    for kind, amount in pairs:
        sums[kind] = sums.get(kind, NOUGHT) + amount
    return sums


@dataclass(frozen=True)
class Standing:
    """What the papers of one order say, in one currency; `proof` compares it with the accounts.

    `documents`: totals with their rounding. `prepaid`: deposits set off. `paid`: bill payments less refunds, with the
    rounding of coins. `deposits`:
    deposits that came less those that went back. `disputed_bill`, `disputed_deposits`: disputes open or lost.
    """

    documents: Decimal = NOUGHT
    prepaid: Decimal = NOUGHT
    paid: Decimal = NOUGHT
    written_off: Decimal = NOUGHT
    deposits: Decimal = NOUGHT
    disputed_bill: Decimal = NOUGHT
    disputed_deposits: Decimal = NOUGHT

    @property
    def deposit_there(self) -> Decimal:
        """Deposits that are in the shop's hands, set off or not."""
        return self.deposits - self.disputed_deposits

    @property
    def deposit_held(self) -> Decimal:
        """Deposits not set off yet: the customer's money. Never below nought."""
        return max(self.deposit_there - self.prepaid, NOUGHT)

    @property
    def deposit_short(self) -> Decimal:
        """What was set off and is not there any more: owed again."""
        return max(self.prepaid - self.deposit_there, NOUGHT)

    @property
    def came_in(self) -> Decimal:
        """Money for the bill that is in the shop's hands, deposits that were set off among it."""
        return self.paid - self.disputed_bill + min(self.prepaid, self.deposit_there)

    @property
    def to_pay_back(self) -> Decimal:
        """What was paid too much. What was written off never came in, and does not go out when its bill is credited."""
        return max(min(-self.balance, self.came_in), NOUGHT)

    @property
    def balance(self) -> Decimal:
        """What is still owed; below nought: to be paid back. Disputed money counts as not paid until it is won."""
        billed = self.documents - self.prepaid - self.paid - self.written_off
        return billed + self.disputed_bill + self.deposit_short


def standing_sums(parts: Sequence[tuple[str, Decimal]]) -> Standing:
    """A standing from (field, amount) pairs, added up."""
    return Standing(**by_kind(parts))
