"""Whether an electronic invoice adds up and says what it must, each fault as a sentence for the owner.

Source: EN 16931 rules BR-CO-10 to BR-CO-17, BR-DEC-*, BR-S/Z/E/AE/IC/G/O/AF/AG as in the validation artefacts 1.3.16. Two
identities are tested here alone, because those artefacts let them pass: a line is quantity times price, and tax is right to
the cent (the artefacts allow anything below 1.00).
"""

from collections.abc import Iterator
from decimal import Decimal

from intake.money import minor_units, quantize
from quotes.einvoice.categories import wrong_categories
from quotes.einvoice.facts import Group, InvoiceFacts, LineFacts
from quotes.einvoice.identifiers import COUNTRIES, CURRENCIES, UNITS

MOST_DIGITS = 2
NOUGHT = Decimal(0)


def wrong_with(facts: InvoiceFacts) -> list[str]:
    """Every reason why these facts make no sound electronic invoice, as sentences; [] when they do."""
    if facts.currency not in CURRENCIES:
        return [f"The currency {facts.currency or '(none)'} is not known to electronic invoices."]
    endless = [*_endless(facts)]
    if endless:
        return endless
    return [
        *_missing(facts),
        *_digits(facts),
        *_lines(facts),
        *_sums(facts),
        *_groups(facts),
        *wrong_categories(facts),
    ]


def line_net(line: LineFacts, currency: str) -> Decimal:
    """BT-131 by its parts: round(quantity x price / per), half up, less the allowance, plus the charge."""
    gross = quantize(line.quantity * line.price / line.per, currency)
    return gross - line.allowance + line.charge


def _missing(facts: InvoiceFacts) -> Iterator[str]:
    whose = (("The shop", "in the settings", facts.seller), ("The customer", "on the invoice", facts.buyer))
    if not facts.number:
        yield "The invoice has no number."
    for who, where, party in whose:
        if not party.name.strip():
            yield f"{who}'s name is missing {where}."
        if not party.country:
            yield f"{who}'s country is missing {where}."
        elif party.country not in COUNTRIES:
            yield f"{who}'s country {party.country!r} is not in the list of ISO 3166."
    if facts.kind == "credit" and facts.credit_of is None:
        yield "A credit note must name the invoice that it credits."
    if not facts.lines:
        yield "An electronic invoice needs a line that is not a reduction."
    if facts.payable > 0 and facts.due is None and not facts.terms:
        yield "The day by which it is to be paid is missing."


def _amounts(facts: InvoiceFacts) -> Iterator[tuple[str, Decimal]]:
    """Every amount of the document with its name."""
    for line in facts.lines:
        yield f"The amount of line {line.number}", line.net
        yield f"The reduction of line {line.number}", line.allowance
        yield f"The addition to line {line.number}", line.charge
    for item in (*facts.allowances, *facts.charges):
        yield f"“{item.text}”", item.amount
    for group in facts.groups:
        yield f"What the tax of {_shown(group.percent)} % is taken on", group.base
        yield f"The tax of {_shown(group.percent)} %", group.tax
    yield from (
        ("The sum of the lines", facts.line_sum),
        ("The sum of the reductions", facts.allowance_sum),
        ("The sum of the additions", facts.charge_sum),
        ("The sum before tax", facts.net),
        ("The tax", facts.tax),
        ("The total", facts.total),
        ("What is paid already", facts.prepaid),
        ("The rounding", facts.rounding),
        ("What is to pay", facts.payable),
    )


def _endless(facts: InvoiceFacts) -> Iterator[str]:
    numbers = [
        (f"Line {line.number}", value)
        for line in facts.lines
        for value in (line.quantity, line.price, line.per, line.percent)
    ]
    for name, value in (*_amounts(facts), *numbers):
        if not isinstance(value, Decimal) or not value.is_finite():
            yield f"{name} is no exact number."


def _digits(facts: InvoiceFacts) -> Iterator[str]:
    own = minor_units(facts.currency)
    for name, amount in _amounts(facts):
        if quantize(amount, facts.currency) != amount:
            yield f"{name} is {_shown(amount)}, and {facts.currency} has {own} digits after the point."
        elif round(amount, MOST_DIGITS) != amount:
            yield (
                f"{name} is {_shown(amount)}: an electronic invoice holds {MOST_DIGITS} digits after the point, "
                f"and {facts.currency} has {own}."
            )


def _lines(facts: InvoiceFacts) -> Iterator[str]:
    for line in facts.lines:
        name = f"Line {line.number} ({line.text or 'no words'})"
        if not line.text.strip():
            yield f"Line {line.number} has no words."
        if line.unit not in UNITS:
            yield f"{name}: the unit {line.unit!r} is not known here."
        if line.price < 0:
            yield f"{name}: a price cannot be below nought."
        if line.per <= 0 or not line.quantity:
            yield f"{name}: the quantity must not be nought."
            continue
        made = line_net(line, facts.currency)
        if made != line.net:
            parts = f"{_shown(line.quantity)} x {_shown(line.price)}"
            parts += f" / {_shown(line.per)}" if line.per != 1 else ""
            parts += f" - {_shown(line.allowance)}" if line.allowance else ""
            parts += f" + {_shown(line.charge)}" if line.charge else ""
            yield f"{name}: {parts} is {_shown(made)}, and the line says {_shown(line.net)}."


def _sums(facts: InvoiceFacts) -> Iterator[str]:
    """BR-CO-10 to BR-CO-16, exactly."""
    line_sum = sum((line.net for line in facts.lines), NOUGHT)
    taken_off = sum((item.amount for item in facts.allowances), NOUGHT)
    put_on = sum((item.amount for item in facts.charges), NOUGHT)
    for name, says, is_ in (
        ("The lines add up to", facts.line_sum, line_sum),
        ("The reductions add up to", facts.allowance_sum, taken_off),
        ("The additions add up to", facts.charge_sum, put_on),
        ("Before tax it comes to", facts.net, facts.line_sum - facts.allowance_sum + facts.charge_sum),
        ("The taxes add up to", facts.tax, sum((group.tax for group in facts.groups), NOUGHT)),
        ("With tax it comes to", facts.total, facts.net + facts.tax),
        ("To pay remains", facts.payable, facts.total - facts.prepaid + facts.rounding),
    ):
        if says != is_:
            yield f"{name} {_shown(is_)}, and the invoice says {_shown(says)}."
    for item in (*facts.allowances, *facts.charges):
        if not item.text.strip():
            yield "A reduction or an addition has no words."
        if item.amount < 0:
            yield f"“{item.text}” is below nought."


def _groups(facts: InvoiceFacts) -> Iterator[str]:
    bases = bases_of(facts)
    said = [(group.category, group.percent) for group in facts.groups]
    if len(set(said)) != len(said) or set(said) != set(bases):
        yield "The taxes do not name each kind and rate of the lines exactly once."
        return
    for group in facts.groups:
        base, name = bases[group.category, group.percent], f"Tax of {_shown(group.percent)} %"
        if base != group.base:
            yield f"{name}: its lines add up to {_shown(base)}, and the invoice says {_shown(group.base)}."
        fault = _wrong_tax(group, facts)
        if fault:
            yield f"{name}: {fault}"


def bases_of(facts: InvoiceFacts) -> dict[tuple[str, Decimal], Decimal]:
    """What each category and rate is taken on: lines, less allowances, plus charges."""
    bases: dict[tuple[str, Decimal], Decimal] = {}
    for category, percent, amount in _parts(facts):
        bases[category, percent] = bases.get((category, percent), NOUGHT) + amount
    return bases


def _parts(facts: InvoiceFacts) -> Iterator[tuple[str, Decimal, Decimal]]:
    for line in facts.lines:
        yield line.category, line.percent, line.net
    for item in facts.allowances:
        yield item.category, item.percent, -item.amount
    for item in facts.charges:
        yield item.category, item.percent, item.amount


def _wrong_tax(group: Group, facts: InvoiceFacts) -> str:
    """Tax to the cent by the shop's own rule; '' when right."""
    own = [
        amount
        for category, percent, amount in _parts(facts)
        if (category, percent) == (group.category, group.percent)
    ]
    made = _tax(group.base, group.percent, facts.currency)
    if facts.tax_rule == "line":
        made = sum((_tax(amount, group.percent, facts.currency) for amount in own), NOUGHT)
    off = abs(group.tax - group.base * group.percent / 100)
    if made == group.tax or off <= _room(facts, len(own), group.percent):
        return ""
    return f"on {_shown(group.base)} it is {_shown(made)}, and the invoice says {_shown(group.tax)}."


def _room(facts: InvoiceFacts, lines: int, percent: Decimal) -> Decimal:
    """How far tax may be from its rate on the base where the shop's rule rounds elsewhere than on the base."""
    half = Decimal(1).scaleb(-minor_units(facts.currency)) / 2
    if facts.tax_rule == "inclusive":
        # Rounded out of prices that held it: base and tax move by at most half a cent for each line.
        return half * lines * (1 + percent / 100)
    if facts.tax_rule == "share":
        # Two shares of the invoice's tax, each rounded, of a tax that was rounded itself.
        return half * (2 + lines) * (1 + percent / 100)
    return NOUGHT


def _tax(base: Decimal, percent: Decimal, currency: str) -> Decimal:
    return quantize(base * percent / 100, currency)


def _shown(number: Decimal) -> str:
    return f"{number:f}"
