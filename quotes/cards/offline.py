"""A card provider that reaches no bank: for the demonstration and the tests. Its reports are signed like real ones.

Signature: HMAC with SHA-256 (RFC 2104) over the moment and the body, in one header 't=<seconds>,v=<hex>'.
"""

import datetime as dt
import hashlib
import hmac
import json
import secrets
import time
import unicodedata
from collections.abc import Callable, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from quotes.cards.provider import KINDS, Event, NotReadable, Started, WrongSignature

HEADER = "X-Offline-Signature"
# A report that was signed longer ago may be an old one sent again by a stranger.
OLDEST_SECONDS = 3 * 24 * 3600
# The rows of fees keep seven digits before the point.
MOST = 10**7


class OfflineProvider:
    """`key` signs; `page` gives the address of the pretended payment page of a checkout."""

    name = "offline"

    def __init__(
        self, *, key: bytes, page: Callable[[str], str], clock: Callable[[], float] = time.time
    ) -> None:
        self._key, self._page, self._clock = key, page, clock

    def start(self, *, order: str, amount: Decimal, currency: str, back: str) -> Started:
        """A checkout with a name that cannot be guessed; nothing is asked of anybody."""
        ident = f"pretend-{secrets.token_hex(12)}"
        return Started(ident, self._page(ident))

    def sign(self, body: bytes) -> dict[str, str]:
        """The header that goes with a report, as the provider's own side would write it."""
        moment = str(int(self._clock()))
        return {HEADER: f"t={moment},v={self._digest(moment, body)}"}

    def read_event(self, *, headers: Mapping[str, str], body: bytes) -> Event:
        """The report, if the signature holds. Raises WrongSignature, NotReadable."""
        self._check({name.lower(): value for name, value in headers.items()}.get(HEADER.lower(), ""), body)
        try:
            return _event(json.loads(body))
        except (ValueError, KeyError, TypeError, InvalidOperation, AttributeError, RecursionError) as fault:
            raise NotReadable("The report cannot be read.") from fault

    def _check(self, header: str, body: bytes) -> None:
        parts = dict(part.partition("=")[::2] for part in header.split(","))
        moment, digest = parts.get("t", ""), parts.get("v", "")
        fits = hmac.compare_digest(self._digest(moment, body).encode(), digest.encode())
        if not fits or not moment.isascii() or not moment.isdecimal():
            raise WrongSignature("The signature does not fit.")
        if abs(self._clock() - int(moment)) > OLDEST_SECONDS:
            raise WrongSignature("The signature is too old.")

    def _digest(self, moment: str, body: bytes) -> str:
        return hmac.new(self._key, moment.encode() + b"." + body, hashlib.sha256).hexdigest()


def body_of(event: Event) -> bytes:
    """A report as this provider writes it."""
    told: dict[str, Any] = {
        "ident": event.ident, "kind": event.kind, "checkout": event.checkout, "amount": str(event.amount),
        "currency": event.currency, "fee": str(event.fee), "why": event.why, "at": event.at.isoformat(),
        "answer_by": event.answer_by.isoformat() if event.answer_by else "",
    }  # fmt: skip
    return json.dumps(told).encode()


def _event(told: dict[str, Any]) -> Event:
    amount, fee, at = Decimal(told["amount"]), Decimal(told["fee"]), dt.datetime.fromisoformat(told["at"])
    ident, checkout = str(told["ident"]), str(told["checkout"])
    if told["kind"] not in KINDS or not (amount.is_finite() and fee.is_finite()) or at.tzinfo is None:
        raise ValueError("no such report")
    if not (0 <= amount < MOST and 0 <= fee < MOST) or not 0 < len(ident) <= 120 or len(checkout) > 120:
        raise ValueError("no such report")
    if any(unicodedata.category(sign) in ("Cc", "Cs") for sign in f"{ident}{checkout}{told['why']}"):
        raise ValueError("no such report")
    return Event(
        ident=ident,
        kind=told["kind"],
        checkout=checkout,
        amount=amount,
        currency=str(told["currency"])[:3],
        at=at,
        fee=fee,
        why=str(told["why"])[:200],
        answer_by=dt.date.fromisoformat(told["answer_by"]) if told["answer_by"] else None,
    )
