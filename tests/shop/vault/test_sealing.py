"""The sealing of unlock codes, against the cryptography library used directly and NIST's sizes."""

import base64

import pytest
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from hypothesis import given
from hypothesis import strategies as st

from shop.vault import sealing

KEYS = {"k2": bytes(range(32)), "k1": b"\x07" * 32}


@given(st.text(min_size=1, max_size=30).filter(lambda text: not text.endswith("\x00")))
def test_a_code_comes_back_as_it_was_given(code: str) -> None:
    name, sealed = sealing.seal(code, order_code="ABCD-2345", keys=KEYS)
    assert name == "k2"
    assert sealing.unseal(sealed, key_name=name, order_code="ABCD-2345", keys=KEYS) == code


def test_sizes_are_those_of_sp_800_38d_and_tell_no_length() -> None:
    """NIST SP 800-38D: 96 bits of nonce, 128 bits of tag (from memory)."""
    lengths = {len(sealing.seal(code, order_code="A", keys=KEYS)[1]) for code in ("1", "123456", "x" * 120)}
    assert lengths == {12 + sealing.FILLED + 16}


def test_another_hand_opens_it_with_the_same_key() -> None:
    _, sealed = sealing.seal("2580", order_code="ABCD-2345", keys=KEYS)
    plain = AESGCM(KEYS["k2"]).decrypt(sealed[:12], sealed[12:], b"unlock code of order ABCD-2345")
    assert plain.rstrip(b"\x00") == b"2580"


@pytest.mark.parametrize("place", [0, 11, 12, 60, -1])
def test_a_changed_byte_does_not_open(place: int) -> None:
    name, sealed = sealing.seal("2580", order_code="ABCD-2345", keys=KEYS)
    changed = bytearray(sealed)
    changed[place] ^= 1
    with pytest.raises(sealing.CannotOpen):
        sealing.unseal(bytes(changed), key_name=name, order_code="ABCD-2345", keys=KEYS)


def test_a_row_copied_to_another_order_does_not_open() -> None:
    name, sealed = sealing.seal("2580", order_code="ABCD-2345", keys=KEYS)
    with pytest.raises(sealing.CannotOpen):
        sealing.unseal(sealed, key_name=name, order_code="ABCD-2346", keys=KEYS)


def test_no_two_sealings_are_alike() -> None:
    assert len({sealing.seal("2580", order_code="A", keys=KEYS)[1] for _ in range(200)}) == 200


def test_keys_are_read_back_as_written() -> None:
    assert sealing.read_keys(sealing.written(KEYS)) == KEYS
    assert next(iter(sealing.read_keys(sealing.written(KEYS)))) == "k2"


@pytest.mark.parametrize(
    "text",
    [
        "",
        "k1",
        "k1:",
        "k1:abc",
        f"k1:{base64.b64encode(b'short').decode()}",
        f":{base64.b64encode(bytes(32)).decode()}",
        f"k1:{base64.b64encode(bytes(32)).decode()},k1:{base64.b64encode(bytes(32)).decode()}",
    ],
)
def test_bad_lists_of_keys_are_refused(text: str) -> None:
    with pytest.raises(sealing.BadKeys):
        sealing.read_keys(text)
