"""Whether a parcel may leave, as a rule on plain values. Pure."""

from collections.abc import Collection
from decimal import Decimal

from intake import wording

QUARANTINE = "quarantine"
DISPUTE = "in dispute"

_NOT_HERE = "It is not at goods out."
_CELL = (
    "Its battery is in quarantine. It may not go by normal post; "
    "take the slip off only when the cell is dealt with."
)
_DISPUTE = "It is in dispute."
_NEW_PLACE = (
    "This customer is on account, but nothing of theirs ever went to this address. "
    "Ask them, as you know them, whether it is theirs; then let it go."
)


def why_not(
    *,
    at_goods_out: bool,
    slips: Collection[str],
    owed: Decimal,
    currency: str,
    let_go: bool,
    on_account: bool,
    trade: bool = False,
    locale: str = wording.PLAIN,
) -> str:
    """The first reason that bars the way, in one sentence; "" when the parcel may go.

    `slips` are the reasons of the open ones. `owed` below nought is money to pay back, which bars nothing. `let_go`: a
    person let it go unpaid. `on_account`: a trade customer who pays by account,
    at an address known to be theirs; `trade` without it: one at an address that is new.
    """
    if not at_goods_out:
        return _NOT_HERE
    if QUARANTINE in slips:
        return _CELL
    if DISPUTE in slips:
        return _DISPUTE
    if owed > 0 and not let_go and not on_account:
        said = f"{wording.money(owed, currency, locale)} is still owed."
        return f"{said} {_NEW_PLACE}" if trade else said
    return ""


def weight_doubt(packed_grams: int, came_grams: int | None) -> str:
    """A sentence when the packed weight is far from the weight at goods in; "" when it is near or none was taken.

    Far is more than a fifth and more than 40 g: packing differs a little each time. Common practice, no source.
    """
    if not came_grams:
        return ""
    apart = packed_grams - came_grams
    if abs(apart) <= 40 or abs(apart) * 5 <= came_grams:
        return ""
    word = "more" if apart > 0 else "less"
    return f"It weighs {abs(apart)} g {word} than it came with ({came_grams} g). Is everything in, and nothing else?"
