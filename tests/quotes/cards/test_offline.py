"""The offline provider: its reports are read back as they were written, and only with the right signature."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from quotes.cards import provider
from quotes.cards.offline import HEADER, OLDEST_SECONDS, OfflineProvider, body_of
from quotes.cards.provider import Event, NotReadable, WrongSignature

EVENT = Event(
    ident="e-1", kind="disputed", checkout="pretend-1", amount=Decimal("12.00"), currency="USD",
    at=datetime(2026, 2, 2, 9, tzinfo=UTC), fee=Decimal("15.00"), why="Not known", answer_by=date(2026, 2, 12),
)  # fmt: skip


def one(now: float = 1_770_000_000.0, key: bytes = b"key") -> OfflineProvider:
    return OfflineProvider(key=key, page=lambda ident: f"/pretend/{ident}/", clock=lambda: now)


def test_report_is_read_back_as_it_was_written() -> None:
    body = body_of(EVENT)
    assert one().read_event(headers=one().sign(body), body=body) == EVENT
    plain = body_of(replace(EVENT, kind="paid", answer_by=None))
    assert one().read_event(headers={HEADER.lower(): one().sign(plain)[HEADER]}, body=plain).answer_by is None


@pytest.mark.parametrize(
    "headers",
    [{}, {HEADER: ""}, {HEADER: "t=1"}, {HEADER: "v=00"}, {HEADER: "t=,v=" + "0" * 64}, {HEADER: "t=1,v=é"}, {HEADER: "x" * 5000}],
)  # fmt: skip
def test_no_signature_or_a_broken_one_is_wrong(headers: dict[str, str]) -> None:
    with pytest.raises(WrongSignature):
        one().read_event(headers=headers, body=body_of(EVENT))


def test_other_key_other_body_and_other_moment_are_wrong() -> None:
    body = body_of(EVENT)
    with pytest.raises(WrongSignature):
        one().read_event(headers=one(key=b"other").sign(body), body=body)
    with pytest.raises(WrongSignature):
        one().read_event(headers=one().sign(body), body=body.replace(b"12.00", b"92.00"))
    moved = {HEADER: one().sign(body)[HEADER].replace("t=1", "t=2")}
    with pytest.raises(WrongSignature):
        one().read_event(headers=moved, body=body)


def test_report_signed_long_ago_is_not_taken() -> None:
    body = body_of(EVENT)
    signed = one().sign(body)
    late = one(now=1_770_000_000.0 + OLDEST_SECONDS + 1)
    with pytest.raises(WrongSignature, match="too old"):
        late.read_event(headers=signed, body=body)


@pytest.mark.parametrize(
    "changes",
    [
        {"kind": "stolen"}, {"amount": "NaN"}, {"amount": "-1"}, {"amount": "1e12"}, {"amount": None}, {"fee": "x"}, {"ident": ""},
        {"ident": "x" * 121}, {"at": "yesterday"}, {"at": "2026-02-02T09:00:00"}, {"answer_by": "soon"},
        {"ident": "a\x00b"}, {"why": "x\x00y"}, {"checkout": "\ud800"}, {"amount": "10000000"}, {"fee": "10000000"},
    ],
)  # fmt: skip
def test_signed_nonsense_is_not_readable(changes: dict) -> None:
    body = json.dumps(json.loads(body_of(EVENT)) | changes).encode()
    with pytest.raises(NotReadable):
        one().read_event(headers=one().sign(body), body=body)


@pytest.mark.parametrize("body", [b"", b"[]", b"null", b"\xff", b"{}", b"[" * 100_000])
def test_signed_bytes_that_are_no_report_are_not_readable(body: bytes) -> None:
    with pytest.raises(NotReadable):
        one().read_event(headers=one().sign(body), body=body)


def test_every_checkout_has_a_name_of_its_own_and_its_page() -> None:
    started = [one().start(order="K7M4-3TX9", amount=Decimal(1), currency="USD", back="/") for _ in range(50)]
    assert len({row.ident for row in started}) == 50
    assert all(row.address == f"/pretend/{row.ident}/" for row in started)


def test_providers_are_found_by_name() -> None:
    provider.register(one())
    try:
        assert provider.find("offline") is not None
        assert "offline" in provider.names()
    finally:
        provider.forget("offline")
    assert provider.find("offline") is None
