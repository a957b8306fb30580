"""Which category and percent each line, allowance and charge of a document falls under."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from intake.money import quantize
from quotes.price_shapes import DocumentItem, LineInput, Policy, PricingError
from quotes.tax import share_out
from quotes.tax_rules import (
    CATEGORIES,
    DEFAULT_REASONS,
    TAX_KINDS,
    WITH_RATE,
    ProfileError,
    TaxedLine,
    Treatment,
    treat,
)


@dataclass(frozen=True)
class Item:
    """An allowance or charge worked out: nought or more, with tax as the policy says."""

    text: str
    amount: Decimal
    treatment: Treatment
    why: str
    percent: Decimal | None = None
    base: Decimal | None = None


def treatments(lines: Sequence[LineInput], amounts: Sequence[Decimal], policy: Policy) -> list[Treatment]:
    """One for each line. Raises PricingError where the profile has no answer, or a category and a rate disagree."""
    for line in lines:
        if line.tax_kind and line.tax_kind not in TAX_KINDS:
            raise PricingError(f"{line.text}: the tax knows no kind called {line.tax_kind!r}.")
        if line.tax_category and line.tax_category not in CATEGORIES:
            raise PricingError(f"{line.text}: there is no tax category {line.tax_category!r}.")
    kinds = [line.tax_kind or line.kind for line in lines]
    if policy.tax_profile is None:
        found = [_by_rates(kind, line.kind, policy) for kind, line in zip(kinds, lines, strict=True)]
    else:
        taxed = [TaxedLine(kind, amount) for kind, amount in zip(kinds, amounts, strict=True)]
        try:
            found = treat(
                taxed, policy.tax_profile, policy.place, policy.customer, parts_apart=policy.parts_apart
            )
        except ProfileError as fault:
            raise PricingError(str(fault)) from fault
    return [
        _overruled(line.text, line.tax_percent, line.tax_category, line.tax_reason, own)
        for line, own in zip(lines, found, strict=True)
    ]


def items_of(
    items: Sequence[DocumentItem],
    amounts: Sequence[Decimal],
    found: Sequence[Treatment],
    policy: Policy,
) -> list[Item]:
    """The items with their amounts and tax; one without tax of its own becomes an item for each group of the lines."""
    line_sum = sum(amounts, Decimal(0))
    done: list[Item] = []
    for item in items:
        amount, why, base = _amount(item, line_sum, policy)
        if item.tax_percent is not None or item.tax_category or item.tax_kind:
            own = _own_treatment(item, amount, policy)
            done.append(Item(item.text, amount, own, why, item.percent, base))
        else:
            done.extend(_spread(item, amount, why, base, amounts, found, policy))
    return done


def _by_rates(kind: str, line_kind: str, policy: Policy) -> Treatment:
    rate = Decimal(policy.tax_rates.get(kind, policy.tax_rates.get(line_kind, Decimal(0))))
    return Treatment("S" if rate else "Z", rate)


def _overruled(text: str, percent: Decimal | None, category: str, reason: str, found: Treatment) -> Treatment:
    """What the line itself says wins over what was found for it."""
    if percent is None and not category:
        return Treatment(found.category, found.percent, reason) if reason else found
    if percent is None:
        percent = found.percent if category in WITH_RATE else Decimal(0)
    if not category:
        # A rate of nought keeps the category that was found without a rate.
        kept = found if bool(found.percent) == bool(percent) else Treatment("S" if percent else "Z", percent)
        category, reason = kept.category, reason or kept.reason
    if category not in WITH_RATE and percent:
        raise PricingError(f"{text}: tax category {category} has no rate, and {percent} % is given.")
    if category == "S" and not percent:
        raise PricingError(f"{text}: tax category S needs a rate above nought.")
    return Treatment(category, percent, reason or DEFAULT_REASONS.get(category, ""))


def _amount(item: DocumentItem, line_sum: Decimal, policy: Policy) -> tuple[Decimal, str, Decimal | None]:
    for value in (item.amount, item.percent, item.base, item.tax_percent):
        if value is not None and not isinstance(value, Decimal):
            raise TypeError("amounts and percents are Decimal")
        if value is not None and (not value.is_finite() or value < 0):
            raise PricingError(f"{item.text}: amounts and percents here are nought or more.")
    if (item.amount is None) == (item.percent is None):
        raise PricingError(f"{item.text}: give an amount or a percent, and not both.")
    if item.percent is None:
        amount = quantize(item.amount or Decimal(0), policy.currency)
        return amount, f"Amount as set: {amount}.", None
    base = line_sum if item.base is None else item.base
    if base < 0:
        raise PricingError(f"{item.text}: the lines come to less than nought, so there is no share of them.")
    amount = quantize(base * item.percent / 100, policy.currency)
    return amount, f"{item.percent.normalize():f} % of {base} = {amount}.", base


def _own_treatment(item: DocumentItem, amount: Decimal, policy: Policy) -> Treatment:
    line = LineInput(
        "fee", item.text, unit_price=amount, tax_percent=item.tax_percent, tax_kind=item.tax_kind,
        tax_category=item.tax_category, tax_reason=item.tax_reason,
    )  # fmt: skip
    return treatments([line], [amount], policy)[0]


def _spread(
    item: DocumentItem,
    amount: Decimal,
    why: str,
    base: Decimal | None,
    amounts: Sequence[Decimal],
    found: Sequence[Treatment],
    policy: Policy,
) -> list[Item]:
    sums: dict[tuple[Decimal, str], Decimal] = {}
    reasons: dict[tuple[Decimal, str], str] = {}
    for line_amount, own in zip(amounts, found, strict=True):
        key = (own.percent, own.category)
        sums[key] = sums.get(key, Decimal(0)) + line_amount
        reasons[key] = min(filter(None, (reasons.get(key, ""), own.reason)), default="")
    keys = sorted(key for key, group in sums.items() if group > 0)
    if not keys:
        own = _own_treatment(item, amount, policy)
        return [Item(item.text, amount, own, why, item.percent, base)]
    weights = [sums[key] for key in keys]
    exact = [Fraction(amount) * Fraction(weight) / Fraction(sum(weights)) for weight in weights]
    shares = share_out(amount, exact, weights, policy.currency)
    if len(keys) == 1:
        (rate, category) = keys[0]
        own = Treatment(category, rate, reasons[keys[0]])
        return [Item(item.text, amount, own, why, item.percent, base)]
    return [
        Item(
            item.text,
            share,
            Treatment(category, rate, reasons[rate, category]),
            f"{why} Of it {share} on what is taxed at {rate.normalize():f} % ({category}).",
        )
        for (rate, category), share in zip(keys, shares, strict=True)
        if share
    ]
