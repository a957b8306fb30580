"""What a customer agrees to beside the price: each consent on its own, in words that are kept with the answer.

Pure. Two ticks for an early start (that the work begins now, and that the time to withdraw ends when it is done): Consumer
Contracts Regulations 2013 (UK) reg. 36 and Directive 2011/83/EU art. 7(3), 16(a), both from memory; only asked where the
shop's letterhead has words on withdrawal.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from quotes.offered import WORK


@dataclass(frozen=True)
class Consent:
    """`words` stand beside the box, `under` below it, `missing` is said when the box stays empty."""

    key: str
    words: str
    missing: str
    under: str = ""


WIPE = Consent(
    "wipe",
    "Yes, wipe it and recycle it. I know that nothing comes back, the data neither.",
    "Please tick that we may wipe and recycle it.",
)
NO_PROMISE = Consent(
    "no_promise",
    "I know that you promise nothing: it may not work after the cleaning.",
    "Please tick that you know: nothing is promised after the cleaning.",
)
DATA = Consent(
    "data",
    "I know that what is on it may be lost all the same.",
    "Please tick that you know: what is on it may be lost.",
)
START = Consent(
    "start",
    "Yes, start before my time to withdraw is over.",
    "Please tick that we may start now, or ask us to wait.",
)
ENDS = Consent(
    "ends",
    "I know that I can no longer withdraw once the work is done in full.",
    "Please tick that you know: once the work is done in full, the time to withdraw is over.",
)
KEYS = tuple(row.key for row in (WIPE, NO_PROMISE, DATA, START, ENDS))


def consents_for(choice: str, *, withdrawal_words: str, data_at_stake: bool) -> list[Consent]:
    """What must be ticked for a choice; `data_at_stake` where the customer did not say that nothing on it is needed."""
    wanted = []
    if choice == "recycle":
        wanted.append(WIPE)
    if choice == "clean":
        wanted.append(NO_PROMISE)
    if choice in ("data", "clean") and data_at_stake:
        wanted.append(DATA)
    if choice in WORK and withdrawal_words:
        wanted += [Consent(START.key, START.words, START.missing, withdrawal_words), ENDS]
    return wanted


def kept(ticked: Sequence[Consent], *, version: int | str) -> list[dict[str, str]]:
    """The texts as they are kept with the decision: word for word, with the version of the terms they stood under."""
    return [
        {
            "key": row.key,
            "words": f"{row.words} {row.under}".strip(),
            "version": str(version),
        }
        for row in ticked
    ]
