"""Ten thousand made-up documents, worked out a second time in whole numbers and fractions by another road.

Amounts are counted in the currency's smallest coin from the start; nothing of the pricing is used but its answer.
"""

import random
from collections import defaultdict
from decimal import Decimal as D
from fractions import Fraction as F

from quotes.pricing import DocumentItem, LineInput, Policy, price

DIGITS = {"USD": 2, "EUR": 2, "JPY": 0, "KWD": 3, "SEK": 2}
RATES = ["0", "5", "6", "7.7", "8.875", "10", "19", "20", "21", "25"]
DOCUMENTS = 10_000


def half_up(exact):
    """The nearest whole number; a half goes away from nought on both sides of it."""
    return int(abs(exact) + F(1, 2)) * (1 if exact >= 0 else -1)


def second_road(lines, less, more, *, digits, inclusive, by_line):
    """(coins before tax, tax by rate, total) from plain tuples; see `documents`."""
    unit = 10**digits
    owned = defaultdict(list)
    for quantity, unit_price, per, allowance, charge, rate in lines:
        coins = half_up(F(quantity) * F(unit_price) * unit / F(per))
        owned[F(rate)].append(coins - half_up(F(allowance) * unit) + half_up(F(charge) * unit))
    for items, sign in ((less, -1), (more, 1)):
        for amount, rate in items:
            owned[F(rate)].append(sign * half_up(F(amount) * unit))
    taxes = {}
    for rate, coins in owned.items():
        part = rate / (100 + rate) if inclusive else rate / 100
        taxes[rate] = sum(half_up(one * part) for one in coins) if by_line else half_up(sum(coins) * part)
    given, tax = sum(map(sum, owned.values())), sum(taxes.values())
    return (given - tax, taxes, given) if inclusive else (given, taxes, given + tax)


def amount(rng, digits, most):
    return str(D(rng.randrange(most * 10**digits)).scaleb(-digits))


def documents(seed):
    rng = random.Random(seed)
    for _ in range(DOCUMENTS):
        currency = rng.choice(list(DIGITS))
        digits = DIGITS[currency]
        rates = rng.sample(RATES, rng.randint(1, 3))
        lines = []
        for _ in range(rng.randint(1, 5)):
            sign = "-" if rng.random() < 0.15 else ""
            lines.append(
                (
                    rng.choice(["1", "1", "2", "3", "0.5", "1.25", "16000"]),
                    sign + amount(rng, digits + rng.choice([0, 0, 2]), 300),
                    rng.choice(["1", "1", "1", "12", "7", "100"]),
                    amount(rng, digits + 1, 20) if rng.random() < 0.2 else "0",
                    amount(rng, digits + 1, 20) if rng.random() < 0.2 else "0",
                    rng.choice(rates),
                )
            )
        less = [(amount(rng, digits + 1, 30), rng.choice(rates)) for _ in range(rng.choice([0, 0, 1, 2]))]
        more = [(amount(rng, digits + 1, 30), rng.choice(rates)) for _ in range(rng.choice([0, 0, 1]))]
        yield currency, lines, less, more, rng.random() < 0.5, rng.random() < 0.5


def first_road(currency, lines, less, more, inclusive, by_line):
    policy = Policy(
        currency,
        D(0),
        D(0),
        {},
        D(0),
        D(0),
        tax_inclusive=inclusive,
        rounding="line" if by_line else "document",
    )
    return price(
        [
            LineInput(
                "fee", "line", D(quantity), D(unit_price), per=D(per), tax_percent=D(rate),
                allowance=D(allowance), charge=D(charge),
            )
            for quantity, unit_price, per, allowance, charge, rate in lines
        ],
        policy,
        allowances=[DocumentItem("less", D(one), tax_percent=D(rate)) for one, rate in less],
        charges=[DocumentItem("more", D(one), tax_percent=D(rate)) for one, rate in more],
    )  # fmt: skip


def test_ten_thousand_documents_agree_with_a_second_computation():
    kinds = set()
    for currency, lines, less, more, inclusive, by_line in documents(20260227):
        priced = first_road(currency, lines, less, more, inclusive, by_line)
        digits = DIGITS[currency]
        net, taxes, total = second_road(
            lines, less, more, digits=digits, inclusive=inclusive, by_line=by_line
        )
        found = (
            priced.net.scaleb(digits),
            {F(group.rate): group.tax.scaleb(digits) for group in priced.tax_groups},
            priced.total.scaleb(digits),
        )
        assert found == (net, taxes, total), (currency, lines, less, more, inclusive, by_line)
        kinds.add((currency, inclusive, by_line, total < 0))
    # Every currency at both levels, with and without the tax, above and below nought: nothing was left out by chance.
    assert len(kinds) == len(DIGITS) * 2 * 2 * 2


def test_the_second_computation_sends_halves_away_from_nought():
    assert [half_up(F(n, 2)) for n in (-3, -1, 0, 1, 3)] == [-2, -1, 0, 1, 2]
