"""From remedies and parts to one fixed total, each step said in words; and what each choice on a quote costs.

Arithmetic of EN 16931: a line is round(quantity x price / price base), half up; tax by rate (see `quotes.tax`);
total = lines + tax. Markup bands, price endings and the smallest charge: common practice, no source.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from intake.money import quantize
from quotes.tax import Rounding, TaxGroup, tax_lines

KINDS = ("labour", "part", "post", "rush", "fee", "media")


class PricingError(ValueError):
    """A line that cannot be priced; the message is a sentence to show beside it."""


@dataclass(frozen=True)
class LineInput:
    """One line before it is priced.

    `unit_price` and `unit_cost` are of one unit (`per` units where a price is for several), in the shop's currency, with
    or without tax as the policy says. `minutes` are bench minutes of one unit. `tax_percent` overrules the rate of the
    kind. `still_charged`: owed even if the repair fails. `ref` is the caller's own mark. Only a fee may be below nought.
    """

    kind: str
    text: str
    quantity: Decimal = Decimal(1)
    unit_price: Decimal | None = None
    unit_cost: Decimal | None = None
    minutes: Decimal | int | None = None
    per: Decimal = Decimal(1)
    tax_percent: Decimal | None = None
    still_charged: bool = False
    ref: str = ""


@dataclass(frozen=True)
class Policy:
    """How the shop prices on a given day. Percents are numbers such as 8 for 8 %; minutes are bench minutes.

    `markup_bands`: (cost up to and including, or None for any, factor), first fit wins. `price_ending`: prices made by rule are
    raised to the next one that ends so (0.90 gives 12.90; 9 gives 19, 29).
    """

    currency: str
    rate_per_minute: Decimal
    cost_per_minute: Decimal
    tax_rates: Mapping[str, Decimal]
    return_post_price: Decimal
    return_post_cost: Decimal
    tax_name: str = "Tax"
    tax_inclusive: bool = False
    rounding: Rounding = "document"
    price_ending: Decimal | None = None
    markup_bands: Sequence[tuple[Decimal | None, Decimal]] = ()
    minimum_charge: Decimal = Decimal(0)
    declined_fee: Decimal = Decimal(0)


@dataclass(frozen=True)
class Line:
    """A priced line. net + tax = gross; `cost` is what the shop itself spends on it, bench minutes included."""

    kind: str
    text: str
    quantity: Decimal
    unit_price: Decimal
    rate: Decimal
    net: Decimal
    tax: Decimal
    gross: Decimal
    cash_cost: Decimal
    minutes: Decimal
    cost: Decimal
    why: str
    still_charged: bool
    ref: str


@dataclass(frozen=True)
class Priced:
    """All amounts at the currency's digits. margin = net - shop_cost; cash_margin leaves the bench minutes out."""

    currency: str
    lines: tuple[Line, ...]
    tax_groups: tuple[TaxGroup, ...]
    net: Decimal
    tax: Decimal
    total: Decimal
    minutes: Decimal
    shop_cost: Decimal
    margin: Decimal
    cash_margin: Decimal


@dataclass(frozen=True)
class Choice:
    """What the customer pays for one choice, and the sentence that says what it is made of."""

    net: Decimal
    tax: Decimal
    total: Decimal
    why: str


@dataclass(frozen=True)
class Choices:
    """The four ways a quote can end: mended, sent back as it is, recycled, or tried and not fixed."""

    mend: Choice
    back: Choice
    recycle: Choice
    no_fix: Choice


@dataclass(frozen=True)
class _Unit:
    price: Decimal
    cash_cost: Decimal
    minutes: Decimal
    why: str


def price(lines: Sequence[LineInput], policy: Policy) -> Priced:
    """Price the lines. Raises PricingError (a sentence) for a line without a price, an unknown kind or a quantity of
    nought or less, and TypeError where a float is given for money."""
    work = [(line, _unit(line, policy)) for line in lines]
    raised = _up_to_minimum(work, policy)
    if raised is not None:
        work.append((raised, _unit(raised, policy)))
    amounts = [_amount(line, unit, policy) for line, unit in work]
    rates = [_rate(line, policy) for line, _ in work]
    taxed = tax_lines(
        list(zip(amounts, rates, strict=True)),
        currency=policy.currency,
        name=policy.tax_name,
        inclusive=policy.tax_inclusive,
        rounding=policy.rounding,
    )
    done = [
        _line(line, unit, amount, rate, tax, policy)
        for (line, unit), amount, rate, tax in zip(work, amounts, rates, taxed.taxes, strict=True)
    ]
    nought = quantize(Decimal(0), policy.currency)
    net, tax = sum((line.net for line in done), nought), sum((line.tax for line in done), nought)
    cost, cash = sum((line.cost for line in done), nought), sum((line.cash_cost for line in done), nought)
    minutes = sum((line.minutes for line in done), Decimal(0))
    return Priced(
        policy.currency, tuple(done), taxed.groups, net, tax, net + tax, minutes, cost, net - cost, net - cash
    )


def choices(priced: Priced, policy: Policy) -> Choices:
    """What each choice on the quote costs in full. Return post is the quote's own line where it has one."""
    post = [_again(line, policy) for line in priced.lines if line.kind == "post"] or [
        LineInput("post", "Return post", unit_price=policy.return_post_price)
    ]
    fee = [LineInput("fee", "Diagnosis", unit_price=policy.declined_fee)] if policy.declined_fee else []
    owed = [_again(line, policy) for line in priced.lines if line.still_charged and line.kind != "post"]
    return Choices(
        mend=Choice(priced.net, priced.tax, priced.total, _made_of([line.text for line in priced.lines])),
        back=_choice([*fee, *post], policy),
        recycle=_choice(fee, policy),
        no_fix=_choice([*owed, *post], policy),
    )


def _choice(lines: list[LineInput], policy: Policy) -> Choice:
    sums = price(lines, replace(policy, minimum_charge=Decimal(0)))
    return Choice(sums.net, sums.tax, sums.total, _made_of([line.text for line in lines]))


def _made_of(texts: list[str]) -> str:
    return "; ".join(texts) + "." if texts else "Nothing to pay."


def _again(line: Line, policy: Policy) -> LineInput:
    amount = line.gross if policy.tax_inclusive else line.net
    return LineInput(line.kind, line.text, unit_price=amount, unit_cost=Decimal(0), tax_percent=line.rate)


def _unit(line: LineInput, policy: Policy) -> _Unit:
    """Price, cost and minutes of one unit, and the sentence that says where the price comes from."""
    _check(line)
    minutes = Decimal(line.minutes or 0)
    cash = line.unit_cost or Decimal(0)
    if line.kind == "post" and line.unit_cost is None:
        cash = policy.return_post_cost
    if line.unit_price is not None:
        return _Unit(line.unit_price, cash, minutes, f"Price as set: {_shown(line.unit_price, policy)}.")
    if line.kind == "post":
        return _Unit(
            policy.return_post_price,
            cash,
            minutes,
            f"Return post by the rates: {_shown(policy.return_post_price, policy)}.",
        )
    if line.kind == "labour" and line.minutes is not None:
        made = quantize(minutes * policy.rate_per_minute, policy.currency)
        why = f"{_plain(minutes)} minutes x {_shown(policy.rate_per_minute, policy)} = {made}."
        return _ended(made, cash, minutes, why, policy)
    if line.kind in ("part", "media") and line.unit_cost is not None:
        factor = _factor(line, line.unit_cost, policy)
        made = quantize(line.unit_cost * factor, policy.currency)
        return _ended(
            made, cash, minutes, f"Cost {_shown(line.unit_cost, policy)} x {_plain(factor)} = {made}.", policy
        )
    raise PricingError(f"{line.text or line.kind}: there is no price, and no rule that makes one.")


def _check(line: LineInput) -> None:
    for value in (line.quantity, line.unit_price, line.unit_cost, line.per, line.tax_percent, line.minutes):
        if value is not None and (isinstance(value, float) or not isinstance(value, Decimal | int)):
            raise TypeError("prices, costs and quantities are Decimal")
        if isinstance(value, Decimal) and not value.is_finite():
            raise PricingError(f"{line.text}: that is not a number.")
    if line.kind not in KINDS:
        raise PricingError(f"{line.text}: there is no kind of line called {line.kind!r}.")
    if line.quantity <= 0 or line.per <= 0:
        raise PricingError(f"{line.text}: the quantity must be more than nought.")
    if line.unit_price is not None and line.unit_price < 0 and line.kind != "fee":
        raise PricingError(f"{line.text}: a price cannot be below nought. Use a fee for a reduction.")
    if (line.unit_cost or 0) < 0 or (line.minutes or 0) < 0:
        raise PricingError(f"{line.text}: cost and minutes cannot be below nought.")


def _factor(line: LineInput, cost: Decimal, policy: Policy) -> Decimal:
    for up_to, factor in policy.markup_bands:
        if up_to is None or cost <= up_to:
            return factor
    raise PricingError(f"{line.text}: no price is set and no markup band reaches a cost of {cost}.")


def _ended(made: Decimal, cash: Decimal, minutes: Decimal, why: str, policy: Policy) -> _Unit:
    ending = policy.price_ending
    if ending is None or made == 0:
        return _Unit(made, cash, minutes, why)
    step = Decimal(1)
    while step <= ending:
        step *= 10
    up = made - made % step + ending
    up = quantize(up if up >= made else up + step, policy.currency)
    return _Unit(
        up, cash, minutes, why if up == made else f"{why} Raised to end in {_shown(ending, policy)}: {up}."
    )


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"


def _shown(amount: Decimal, policy: Policy) -> str:
    """At the currency's digits where they are enough: the database pads prices with noughts nobody typed."""
    exact = quantize(amount, policy.currency)
    return f"{exact:f}" if exact == amount else _plain(amount)


def _up_to_minimum(work: Sequence[tuple[LineInput, _Unit]], policy: Policy) -> LineInput | None:
    counted = [_amount(line, unit, policy) for line, unit in work if line.kind != "post"]
    missing = policy.minimum_charge - sum(counted, Decimal(0))
    if missing <= 0 or not any(line.kind == "labour" for line, _ in work):
        return None
    return LineInput("labour", "Up to the smallest charge", unit_price=missing)


def _amount(line: LineInput, unit: _Unit, policy: Policy) -> Decimal:
    return quantize(line.quantity * unit.price / line.per, policy.currency)


def _rate(line: LineInput, policy: Policy) -> Decimal:
    return line.tax_percent if line.tax_percent is not None else policy.tax_rates.get(line.kind, Decimal(0))


def _line(line: LineInput, unit: _Unit, amount: Decimal, rate: Decimal, tax: Decimal, policy: Policy) -> Line:
    net = amount - tax if policy.tax_inclusive else amount
    minutes = unit.minutes * line.quantity
    cash = quantize(unit.cash_cost * line.quantity / line.per, policy.currency)
    cost = cash + quantize(minutes * policy.cost_per_minute, policy.currency)
    many = (
        f" {_plain(line.quantity)} x {_shown(unit.price, policy)}"
        if line.quantity != 1 or line.per != 1
        else ""
    )
    base = f" / {_plain(line.per)}" if line.per != 1 else ""
    why = f"{unit.why}{many}{base}{f' = {amount}.' if many else ''}"
    why += (
        f" {policy.tax_name} {_plain(rate)} %{' within' if policy.tax_inclusive else ''}: {tax}."
        if rate
        else " No tax."
    )
    return Line(
        line.kind, line.text, line.quantity, unit.price, rate, net, tax, net + tax, cash, minutes, cost, why,
        line.still_charged, line.ref,
    )  # fmt: skip
