"""What a customer is told, before anything is posted, about the cost of looking for the fault.

A fee for a diagnosis is owed only where it was said before the device was sent: common practice, no source; confirm with a
lawyer what your place asks.
"""

from decimal import Decimal
from typing import Literal

from intake.wording import PLAIN, money

DiagnosisPolicy = Literal["free", "declined", "waived"]


def diagnosis_policy(fee: Decimal, waived_above: Decimal | None) -> DiagnosisPolicy:
    """'free' for no fee, 'declined' for a fee when the answer is no, 'waived' where a dearer quote leaves it out."""
    if fee == 0:
        return "free"
    return "declined" if waived_above is None else "waived"


def diagnosis_words(
    fee: Decimal, waived_above: Decimal | None, *, currency: str, locale: str = PLAIN, tax_open: bool = False
) -> str:
    """The sentences for the request form and the shipping form; empty where looking is free.

    `fee` is the sum to pay; `tax_open`: tax comes on top that depends on where the device goes.
    """
    policy = diagnosis_policy(fee, waived_above)
    if policy == "free":
        return ""
    sum_ = money(fee, currency, locale) + (" and the tax on it" if tax_open else "")
    if waived_above is None:
        return (
            f"If you say no to our quote, looking for the fault costs {sum_}. "
            "If you say yes, it costs nothing on top."
        )
    most = money(waived_above, currency, locale)
    return (
        f"If you say no to a quote of up to {most}, looking for the fault costs {sum_}. "
        f"If the quote is above {most}, or you say yes, it costs nothing on top."
    )
