"""Sends what `hostile` makes through the whole house, in this process, and keeps what went wrong with its cause."""

import traceback
from collections import Counter
from dataclasses import dataclass, field
from random import Random
from typing import Any

from django.db import transaction
from django.test import Client

from tests.faults import hostile
from tests.faults.hostile import Form
from tests.faults.scratch import ROOT


@dataclass
class Tally:
    """Answers by status, and each fault with the first thing that caused it."""

    statuses: Counter[int] = field(default_factory=Counter)
    faults: Counter[str] = field(default_factory=Counter)
    first: dict[str, str] = field(default_factory=dict)

    def fault(self, where: str, sent: object) -> None:
        self.faults[where] += 1
        self.first.setdefault(where, repr(sent)[:600])

    def __str__(self) -> str:
        return f"{sum(self.statuses.values())} sent: {dict(sorted(self.statuses.items()))}"

    def clean(self) -> str:
        """Nothing, or each cause once, for the assertion's own words."""
        return "\n".join(
            f"{count} x {where}\n    {self.first[where]}" for where, count in self.faults.items()
        )


def _where(fault: BaseException) -> str:
    own = [
        f"{frame.filename.removeprefix(f'{ROOT}/').split('site-packages/')[-1]}:{frame.lineno}"
        for frame in traceback.extract_tb(fault.__traceback__)
    ]
    return f"{type(fault).__name__}: {str(fault)[:80]!r} at {' < '.join(reversed(own[-5:]))}"


def send(
    client: Client,
    tally: Tally,
    *,
    method: str,
    address: str,
    body: bytes = b"",
    kind: str = "",
    keep: bool = False,
    **more: Any,
) -> Any:
    """One request. What it changed is taken back unless `keep`; a fault always is."""  # fmt: skip
    jar = {name: morsel.value for name, morsel in client.cookies.items()}
    try:
        with transaction.atomic():
            answer = client.generic(method, address, body, content_type=kind, **more)
            if getattr(answer, "streaming", False):
                b"".join(answer.streaming_content)
            if not keep or answer.status_code >= 500:
                transaction.set_rollback(True)
    except Exception as fault:
        tally.statuses[500] += 1
        tally.fault(f"{address.partition('?')[0][:60]} {_where(fault)}", (kind, body[:400] or address[-400:]))
        return None
    finally:
        # A session that was made in a request that is taken back is no session.
        if not keep:
            client.cookies.clear()
            client.cookies.load(jar)
    tally.statuses[answer.status_code] += 1
    if answer.status_code >= 500 or getattr(answer, "caught_late", False):
        told = getattr(answer, "caught_late", answer.status_code)
        tally.fault(f"{address.partition('?')[0][:60]} answered {told}", (kind, body[:400] or address[-400:]))
    return answer


def post_form(
    client: Client,
    tally: Tally,
    form: Form,
    rng: Random,
    *,
    files: tuple[str, ...] = (),
    keep: bool = False,
    **more: Any,
) -> Any:
    """One spoiled posting of a form, in any of the ways a body can be wrong."""
    made, kind = hostile.body(form, rng, files=files)
    if form.method == "get":
        query = hostile.encoded(hostile.spoiled(form, rng)).decode()[:60_000]
        return send(client, tally, method="GET", address=f"{form.action.partition('?')[0]}?{query}", **more)
    return send(client, tally, method="POST", address=form.action, body=made, kind=kind, keep=keep, **more)
