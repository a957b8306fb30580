"""Why this number: each amount of a priced document in one plain sentence with the figures it is made of."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from intake.money import minor_units
from quotes.price_shapes import DocumentLine, Line, Policy, Priced
from quotes.tax import TaxGroup, exact_tax
from quotes.unit_prices import plain


@dataclass(frozen=True)
class Step:
    """One amount of the document: what it is, the amount, and where it comes from."""

    what: str
    amount: Decimal
    why: str


def explain(priced: Priced, policy: Policy) -> list[Step]:
    """Every line, reduction, addition, tax group and total of `priced`, in the order in which they follow from another.

    `policy` is the one it was priced with. Amounts are without tax up to the taxes, also where prices hold it.
    """
    steps = [Step(line.text, line.net, _why(line, policy)) for line in priced.lines]
    steps += [Step(item.text, -item.net, _why(item, policy)) for item in priced.allowances]
    steps += [Step(item.text, item.net, _why(item, policy)) for item in priced.charges]
    line_sum = _added([line.net for line in priced.lines], priced.line_sum)
    steps.append(Step("Sum of the lines", priced.line_sum, line_sum))
    if priced.allowances or priced.charges:
        steps.append(
            Step(
                "Sum before tax",
                priced.net,
                f"{priced.line_sum} - {priced.allowance_sum} + {priced.charge_sum} = {priced.net}.",
            )
        )
    steps += [
        Step(f"{group.name} {plain(group.rate)} %", group.tax, _tax(group, priced, policy))
        for group in priced.tax_groups
    ]
    steps.append(Step("Total", priced.total, _total(priced)))
    steps.append(Step("To pay", priced.payable, _payable(priced, policy)))
    return steps


def _why(item: Line | DocumentLine, policy: Policy) -> str:
    return f"{item.why} Without it: {item.net}." if policy.tax_inclusive and item.rate else item.why


def _added(amounts: Sequence[Decimal], total: Decimal) -> str:
    if not amounts:
        return f"There are no lines: {total}."
    if len(amounts) == 1:
        return f"There is one line: {total}."
    first, *rest = amounts
    terms = "".join(f" - {-amount}" if amount < 0 else f" + {amount}" for amount in rest)
    return f"{first}{terms} = {total}."


def _tax(group: TaxGroup, priced: Priced, policy: Policy) -> str:
    rate = plain(group.rate)
    if not group.rate:
        return f"No tax on {group.base}. {group.reason}".rstrip()
    if policy.rounding == "line":
        taxes = [
            tax for tax, own, category in _taxes(priced) if (own, category) == (group.rate, group.category)
        ]
        return f"Each amount's tax is rounded by itself, then added: {_added(taxes, group.tax)}"
    if policy.tax_inclusive:
        exact = _figure(exact_tax(group.gross, group.rate, inclusive=True), policy.currency)
        return f"{group.gross} x {rate} / {plain(100 + group.rate)} = {_rounded(exact, group.tax)}"
    exact = _figure(exact_tax(group.base, group.rate, inclusive=False), policy.currency)
    return f"{group.base} x {rate} / 100 = {_rounded(exact, group.tax)}"


def _taxes(priced: Priced) -> list[tuple[Decimal, Decimal, str]]:
    """Each amount's tax with its rate and category; a reduction's counts below nought."""
    found = [(line.tax, line.rate, line.tax_category) for line in priced.lines]
    found += [(-item.tax, item.rate, item.tax_category) for item in priced.allowances]
    return found + [(item.tax, item.rate, item.tax_category) for item in priced.charges]


def _rounded(exact: str, amount: Decimal) -> str:
    return f"{amount}." if exact == str(amount) else f"{exact}, rounded to {amount}."


def _figure(exact: Fraction, currency: str) -> str:
    """The exact figure, or its beginning with 'about' where it has more than four digits behind the cent."""
    digits = minor_units(currency)
    for places in range(digits, digits + 5):
        scaled = exact * 10**places
        if scaled.denominator == 1:
            return f"{Decimal(int(scaled)).scaleb(-places):f}"
    about = Decimal(int(exact * 10 ** (digits + 4))).scaleb(-digits - 4)
    return f"about {about:f}"


def _total(priced: Priced) -> str:
    taxes = "".join(f" + {group.tax}" for group in priced.tax_groups if group.rate)
    return f"{priced.net}{taxes} = {priced.total}." if taxes else f"No tax is added: {priced.total}."


def _payable(priced: Priced, policy: Policy) -> str:
    if policy.cash_step is None:
        return f"The total, nothing rounded: {priced.payable}."
    sign = "-" if priced.rounding < 0 else "+"
    return (
        f"Paid in coins of {plain(policy.cash_step)}: {priced.total} {sign} {abs(priced.rounding)} = "
        f"{priced.payable}."
    )
