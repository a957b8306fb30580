"""From remedies and parts to one fixed total, each step said in words; and what each choice on a quote costs.

Arithmetic of EN 16931: a line is round(quantity x price / price base) - allowance + charge, half up; tax by category and
rate (see `quotes.tax`); net = lines - allowances + charges; total = net + tax. Smallest charge: common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from intake.money import quantize
from quotes.cash_rounding import cash_rounding
from quotes.line_tax import Item, items_of, treatments
from quotes.price_shapes import (
    KINDS,
    DocumentItem,
    DocumentLine,
    Line,
    LineInput,
    Policy,
    Priced,
    PricingError,
)
from quotes.tax import Taxable, TaxGroup, tax_of
from quotes.tax_rules import Treatment
from quotes.unit_prices import Unit, amount_words, check_policy, line_amount, plain, unit_of

__all__ = [
    "KINDS",
    "Choice",
    "Choices",
    "DocumentItem",
    "DocumentLine",
    "Line",
    "LineInput",
    "Policy",
    "Priced",
    "PricingError",
    "TaxGroup",
    "choices",
    "price",
]


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


def price(
    lines: Sequence[LineInput],
    policy: Policy,
    *,
    allowances: Sequence[DocumentItem] = (),
    charges: Sequence[DocumentItem] = (),
) -> Priced:
    """Price the lines, with allowances and charges on the whole document.

    Raises PricingError (a sentence) for a line without a price, an unknown kind, a quantity of nought or less, a tax that
    has no answer or contradicts itself; TypeError where a float is given for money.
    """
    check_policy(policy)
    work = [(line, unit_of(line, policy)) for line in lines]
    raised = _up_to_minimum(work, policy)
    if raised is not None:
        work.append((raised, unit_of(raised, policy)))
    amounts = [line_amount(line, unit, policy) for line, unit in work]
    found = treatments([line for line, _ in work], amounts, policy)
    less, more = items_of(allowances, amounts, found, policy), items_of(charges, amounts, found, policy)
    taxed = tax_of(
        [
            *(_taxable(amount, own) for amount, own in zip(amounts, found, strict=True)),
            *(_taxable(-item.amount, item.treatment) for item in less),
            *(_taxable(item.amount, item.treatment) for item in more),
        ],
        currency=policy.currency,
        name=policy.tax_name,
        inclusive=policy.tax_inclusive,
        rounding=policy.rounding,
    )
    on_lines, on_items = taxed.taxes[: len(work)], taxed.taxes[len(work) :]
    done = [
        _line(line, unit, amount, own, tax, policy)
        for (line, unit), amount, own, tax in zip(work, amounts, found, on_lines, strict=True)
    ]
    lowered = [_item(item, -tax, policy) for item, tax in zip(less, on_items[: len(less)], strict=True)]
    added = [_item(item, tax, policy) for item, tax in zip(more, on_items[len(less) :], strict=True)]
    return _summed(done, lowered, added, taxed.groups, policy)


def _taxable(amount: Decimal, own: Treatment) -> Taxable:
    return Taxable(amount, own.percent, own.category, own.reason)


def _summed(
    lines: Sequence[Line],
    allowances: Sequence[DocumentLine],
    charges: Sequence[DocumentLine],
    groups: tuple[TaxGroup, ...],
    policy: Policy,
) -> Priced:
    nought = quantize(Decimal(0), policy.currency)
    line_sum = sum((line.net for line in lines), nought)
    less = sum((item.net for item in allowances), nought)
    more = sum((item.net for item in charges), nought)
    net, tax = line_sum - less + more, sum((group.tax for group in groups), nought)
    cost, cash = sum((line.cost for line in lines), nought), sum((line.cash_cost for line in lines), nought)
    total = net + tax
    rounding = nought if policy.cash_step is None else cash_rounding(total, policy.cash_step, policy.currency)
    return Priced(
        currency=policy.currency,
        lines=tuple(lines),
        tax_groups=groups,
        net=net,
        tax=tax,
        total=total,
        minutes=sum((line.minutes for line in lines), Decimal(0)),
        shop_cost=cost,
        margin=net - cost,
        cash_margin=net - cash,
        line_sum=line_sum,
        allowance_sum=less,
        charge_sum=more,
        allowances=tuple(allowances),
        charges=tuple(charges),
        rounding=rounding,
        payable=total + rounding,
    )


def choices(priced: Priced, policy: Policy) -> Choices:
    """What each choice on the quote costs in full. Return post is the quote's own line where it has one."""
    post = [_again(line, policy) for line in priced.lines if line.kind == "post"] or [
        LineInput("post", "Return post", unit_price=policy.return_post_price)
    ]
    fee = (
        [LineInput("fee", "Diagnosis", unit_price=policy.declined_fee, tax_kind="diagnosis")]
        if policy.declined_fee
        else []
    )
    owed = [_again(line, policy) for line in priced.lines if line.still_charged and line.kind != "post"]
    told = [line.text for line in priced.lines]
    told += [item.text for item in (*priced.allowances, *priced.charges)]
    return Choices(
        mend=Choice(priced.net, priced.tax, priced.total, _made_of(list(dict.fromkeys(told)))),
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
    return LineInput(
        line.kind,
        line.text,
        unit_price=amount,
        unit_cost=Decimal(0),
        tax_percent=line.rate,
        tax_category=line.tax_category,
        tax_reason=line.tax_reason,
    )


def _up_to_minimum(work: Sequence[tuple[LineInput, Unit]], policy: Policy) -> LineInput | None:
    if not policy.minimum_charge:
        return None
    counted = [line_amount(line, unit, policy) for line, unit in work if line.kind != "post"]
    missing = policy.minimum_charge - sum(counted, Decimal(0))
    # Work that is given free is not lifted to the smallest charge.
    if not any(counted) or missing <= 0 or not any(line.kind == "labour" for line, _ in work):
        return None
    return LineInput("labour", "Up to the smallest charge", unit_price=missing)


def _line(line: LineInput, unit: Unit, amount: Decimal, own: Treatment, tax: Decimal, policy: Policy) -> Line:
    net = amount - tax if policy.tax_inclusive else amount
    minutes = unit.minutes * line.quantity
    cash = quantize(unit.cash_cost * line.quantity / line.per, policy.currency)
    return Line(
        kind=line.kind,
        text=line.text,
        quantity=line.quantity,
        unit_price=unit.price,
        rate=own.percent,
        net=net,
        tax=tax,
        gross=net + tax,
        cash_cost=cash,
        minutes=minutes,
        cost=cash + quantize(minutes * policy.cost_per_minute, policy.currency),
        why=unit.why + amount_words(line, unit, amount, policy) + _tax_words(own, tax, policy),
        still_charged=line.still_charged,
        ref=line.ref,
        allowance=quantize(line.allowance, policy.currency),
        charge=quantize(line.charge, policy.currency),
        per=line.per,
        tax_category=own.category,
        tax_reason=own.reason,
    )


def _item(item: Item, tax: Decimal, policy: Policy) -> DocumentLine:
    net = item.amount - tax if policy.tax_inclusive else item.amount
    own = item.treatment
    return DocumentLine(
        text=item.text,
        net=net,
        tax=tax,
        gross=net + tax,
        rate=own.percent,
        tax_category=own.category,
        tax_reason=own.reason,
        why=item.why + _tax_words(own, tax, policy),
        percent=item.percent,
        base=item.base,
    )


def _tax_words(own: Treatment, tax: Decimal, policy: Policy) -> str:
    within = " within" if policy.tax_inclusive else ""
    words = f" {policy.tax_name} {plain(own.percent)} %{within}: {tax}." if own.percent else " No tax."
    return f"{words} {own.reason}".rstrip()
