"""The price of one unit of a line: as set, by the price book, or by a rule, with the sentence that says so.

Markup bands, price endings, smallest prices and trade tiers: common practice, no source.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from intake.money import quantize
from quotes.price_shapes import KINDS, LineInput, Policy, PricingError

# Digits a unit price has on quotes and bills: what was priced must be what is kept, or the bill comes to another sum.
FINEST = Decimal("0.0001")


@dataclass(frozen=True)
class Unit:
    """Of one unit: its price, what the shop pays for it, its bench minutes, and where the price comes from."""

    price: Decimal
    cash_cost: Decimal
    minutes: Decimal
    why: str


def unit_of(line: LineInput, policy: Policy) -> Unit:
    """Raises PricingError (a sentence) for a line that has no price or is wrong, TypeError for a float."""
    _check(line)
    minutes = Decimal(line.minutes or 0)
    cash = line.unit_cost or Decimal(0)
    if line.kind == "post" and line.unit_cost is None:
        cash = policy.return_post_cost
    price, why = _price(line, minutes, policy)
    return Unit(price, cash, minutes, why)


def line_amount(line: LineInput, unit: Unit, policy: Policy) -> Decimal:
    """round(quantity x price / per) - allowance + charge, each rounded by itself. Raises PricingError below nought."""
    before = quantize(line.quantity * unit.price / line.per, policy.currency)
    if not line.allowance and not line.charge:
        return before
    amount = before - quantize(line.allowance, policy.currency) + quantize(line.charge, policy.currency)
    if amount < 0 and line.kind != "fee":
        raise PricingError(f"{line.text}: the allowance is more than the line comes to.")
    return amount


def amount_words(line: LineInput, unit: Unit, amount: Decimal, policy: Policy) -> str:
    """How the unit's price became the line's amount; empty where they are the same thing."""
    words = ""
    before = quantize(line.quantity * unit.price / line.per, policy.currency)
    if line.quantity != 1 or line.per != 1:
        base = f" / {plain(line.per)}" if line.per != 1 else ""
        words = f" {plain(line.quantity)} x {shown(unit.price, policy)}{base} = {before}."
    if line.allowance or line.charge:
        less = f" - {quantize(line.allowance, policy.currency)}" if line.allowance else ""
        more = f" + {quantize(line.charge, policy.currency)}" if line.charge else ""
        words += f" {before}{less}{more} = {amount}."
    return words


def check_policy(policy: Policy) -> None:
    """Raises TypeError where a float, or anything but a number, stands for money or a percent."""
    bands = [number for band in policy.markup_bands for number in band]
    for value in (
        policy.rate_per_minute, policy.cost_per_minute, policy.return_post_price, policy.return_post_cost,
        policy.price_ending, policy.minimum_charge, policy.declined_fee, policy.labour_factor, policy.parts_factor,
        policy.cash_step, *policy.tax_rates.values(), *bands,
    ):  # fmt: skip
        if value is not None:
            _check_number(value)
    if policy.labour_factor < 0 or policy.parts_factor < 0:
        raise PricingError("A trade factor cannot be below nought.")


def plain(number: Decimal) -> str:
    """Without the noughts at the end that nobody typed."""
    return f"{number.normalize():f}"


def shown(amount: Decimal, policy: Policy) -> str:
    """At the currency's digits where they are enough: the database pads prices with noughts nobody typed."""
    exact = quantize(amount, policy.currency)
    return f"{exact:f}" if exact == amount else plain(amount)


def _price(line: LineInput, minutes: Decimal, policy: Policy) -> tuple[Decimal, str]:
    given = line.unit_price
    if given is not None and not line.listed:
        return given, f"Price as set: {shown(given, policy)}."
    if given is not None:
        return _tiered(line, given, f"Price by the list: {shown(given, policy)}.", policy)
    if line.kind == "post":
        price = policy.return_post_price
        return price, f"Return post by the rates: {shown(price, policy)}."
    if line.kind == "labour" and line.minutes is not None:
        made = quantize(minutes * policy.rate_per_minute, policy.currency)
        why = f"{plain(minutes)} minutes x {shown(policy.rate_per_minute, policy)} = {made}."
        return _ended(*_tiered(line, made, why, policy), policy)
    if line.kind in ("part", "media") and line.unit_cost is not None:
        factor = _markup(line, line.unit_cost, policy)
        made = quantize(line.unit_cost * factor, policy.currency)
        why = f"Cost {shown(line.unit_cost, policy)} x {plain(factor)} = {made}."
        return _ended(*_tiered(line, made, why, policy), policy)
    raise PricingError(f"{line.text or line.kind}: there is no price, and no rule that makes one.")


def _tiered(line: LineInput, price: Decimal, why: str, policy: Policy) -> tuple[Decimal, str]:
    """The trade tier's factor, then the smallest price."""
    factor = {"labour": policy.labour_factor, "part": policy.parts_factor, "media": policy.parts_factor}.get(
        line.kind, Decimal(1)
    )
    if factor != 1:
        # A list price finer than the cent, as of a price for a thousand, stays as fine as a bill can say it.
        exact = quantize(price, policy.currency) != price
        lower = price * factor
        lower = lower.quantize(FINEST, ROUND_HALF_UP) if exact else quantize(lower, policy.currency)
        why += f" Trade tier: {shown(price, policy)} x {plain(factor)} = {shown(lower, policy)}."
        price = lower
    if line.minimum_price is not None and price < line.minimum_price:
        price = line.minimum_price
        why += f" Raised to the smallest price: {shown(price, policy)}."
    return price, why


def _markup(line: LineInput, cost: Decimal, policy: Policy) -> Decimal:
    for up_to, factor in policy.markup_bands:
        if up_to is None or cost <= up_to:
            return factor
    raise PricingError(f"{line.text}: no price is set and no markup band reaches a cost of {cost}.")


def _ended(made: Decimal, why: str, policy: Policy) -> tuple[Decimal, str]:
    ending = policy.price_ending
    if ending is None or made == 0:
        return made, why
    step = Decimal(1)
    while step <= ending:
        step *= 10
    up = made - made % step + ending
    up = quantize(up if up >= made else up + step, policy.currency)
    return up, why if up == made else f"{why} Raised to end in {shown(ending, policy)}: {up}."


def _check(line: LineInput) -> None:
    for value in (
        line.quantity, line.unit_price, line.unit_cost, line.per, line.tax_percent, line.minutes,
        line.allowance, line.charge, line.minimum_price,
    ):  # fmt: skip
        if value is not None:
            _check_number(value)
            if isinstance(value, Decimal) and not value.is_finite():
                raise PricingError(f"{line.text}: that is not a number.")
    if line.kind not in KINDS:
        raise PricingError(f"{line.text}: there is no kind of line called {line.kind!r}.")
    if line.quantity <= 0 or line.per <= 0:
        raise PricingError(f"{line.text}: the quantity must be more than nought.")
    if line.unit_price is not None and line.unit_price < 0 and line.kind != "fee":
        raise PricingError(f"{line.text}: a price cannot be below nought. Use a fee for a reduction.")
    if min(line.unit_cost or 0, line.minutes or 0) < 0:
        raise PricingError(f"{line.text}: cost and minutes cannot be below nought.")
    if min(line.allowance, line.charge, line.minimum_price or 0) < 0:
        raise PricingError(f"{line.text}: allowances, charges and smallest prices cannot be below nought.")


def _check_number(value: object) -> None:
    if isinstance(value, float) or not isinstance(value, Decimal | int):
        raise TypeError("prices, costs and quantities are Decimal")
