"""Five tax profiles to start from: four systems that contradict each other, and the flat one of rates by kind.

None of them is advice. Each was written from excerpts of its source and must be confirmed with a tax adviser before use;
what the source was not seen to say is marked 'from memory' or 'own reading'. Rates are arguments, since local ones differ.
"""

from collections.abc import Callable, Mapping
from decimal import Decimal

from quotes.tax_rules import TAX_KINDS, Profile, Rule

CONFIRM = "Confirm with a tax adviser."

_WORK = ("labour", "rush", "fee", "diagnosis")
_NO_DEPOSIT_YET = Rule("exempt", ("deposit",), reason="A deposit is taxed with the invoice it goes into.")


def california(rate: Decimal = Decimal("7.25"), version: int = 1) -> Profile:
    """Repair labour untaxed; parts taxed when they stand apart on the bill or are worth more than a tenth of it."""
    # Source: California Regulation 1546 and annotations 315.0215, 557.0340 (excerpts). The statewide rate is from memory,
    # districts add to it. Post by a carrier untaxed: Regulation 1628, from memory. Media sold as goods: own reading.
    here = ("US-CA",)
    return Profile(
        "California",
        version,
        "US-CA",
        (
            _NO_DEPOSIT_YET,
            Rule("exempt", _WORK, here, reason="Repair labour is not taxed in California."),
            Rule(
                "exempt",
                ("post",),
                here,
                reason="Post by a carrier, named apart, is not taxed in California.",
            ),
            Rule("exempt", ("part", "media"), here, ("certificate",), reason="Resale certificate shown."),
            Rule(
                "parts_share", ("part",), here, percent=rate, reason="California taxes parts the shop sells."
            ),
            Rule("rate", ("media",), here, percent=rate, reason="Goods sold are taxed in California."),
            # Out-of-state return of parts 'may be outside': the excerpt says no more than that.
            Rule("outside", reason="Sent back to a place outside California."),
        ),
        f"California Regulation 1546 (excerpts). {CONFIRM}",
    )


def new_york(rate: Decimal = Decimal(4), version: int = 1) -> Profile:
    """Repair is taxed itself, even a diagnosis alone; nothing is when the carrier delivers outside the state."""
    # Source: 20 NYCRR 527.5, 528.23 (excerpts). The state's rate and the tax on post are from memory; localities add to it.
    here = ("US-NY",)
    return Profile(
        "New York",
        version,
        "US-NY",
        (
            _NO_DEPOSIT_YET,
            Rule("exempt", ("*",), here, ("certificate",), reason="Resale or exemption certificate shown."),
            Rule(
                "rate",
                ("*",),
                here,
                percent=rate,
                reason="Repair, parts and their post are taxed in New York.",
            ),
            Rule("outside", reason="Delivered outside New York by the shop or a carrier."),
        ),
        f"20 NYCRR 527.5 and 528.23 (excerpts). {CONFIRM}",
    )


def texas(rate: Decimal = Decimal("6.25"), version: int = 1) -> Profile:
    """Repair of goods is a taxable service; certificates exempt; small consumables are taxed to the shop, not billed."""
    # Source: 34 Tex. Admin. Code 3.292 (excerpts). The state's rate is from memory, localities add to it. What holds for
    # devices posted out of the state was not seen: taxed here until an adviser says otherwise (own reading).
    return Profile(
        "Texas",
        version,
        "US-TX",
        (
            _NO_DEPOSIT_YET,
            Rule("exempt", customers=("certificate",), reason="Resale or exemption certificate shown."),
            Rule("rate", percent=rate, reason="Repair of goods is a taxable service in Texas."),
        ),
        f"34 Tex. Admin. Code 3.292 (excerpts). {CONFIRM}",
    )


def united_kingdom(rate: Decimal = Decimal(20), version: int = 1) -> Profile:
    """Standard rate on everything, also a deposit; work on goods that came in for it and go out again is zero-rated."""
    # Source: HMRC manual VATPOSS08900 (excerpt). The standard rate, and that a deposit is taxed when paid, are from memory.
    reason = "Goods that came in for the work and go out again: zero-rated, keep the proof of export."
    return Profile(
        "United Kingdom",
        version,
        "GB",
        (
            Rule("export", places=("abroad",), reason=reason),
            Rule("rate", percent=rate, reason="Standard rate."),
        ),
        f"HMRC manual VATPOSS08900 (excerpt). {CONFIRM}",
    )


def flat(rates: Mapping[str, Decimal], home: str = "US", version: int = 1) -> Profile:
    """A percent by kind of line, wherever it goes and whoever it is for; a kind without one is not taxed."""
    taxed = [Rule("rate", (kind,), percent=rates[kind]) for kind in TAX_KINDS if rates.get(kind)]
    return Profile("Flat", version, home, (*taxed, Rule("zero")), f"The shop's own rates. {CONFIRM}")


PROFILES: dict[str, Callable[[], Profile]] = {
    "california": california,
    "new_york": new_york,
    "texas": texas,
    "united_kingdom": united_kingdom,
}
