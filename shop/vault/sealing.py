"""AES-GCM around an unlock code, bound to its order, or around another short secret, bound to its owner. Pure: bytes
and words in, bytes out.

AES with a 256-bit key in Galois/Counter Mode, a nonce of 96 random bits a sealing and a tag of 128 bits, as
NIST SP 800-38D recommends; the work is done by the `cryptography` library. The order's code is the additional
authenticated data: what is copied to another order's row does not open there.
"""

import base64
import binascii
import secrets
from collections.abc import Mapping

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

KEY_BYTES = 32
NONCE_BYTES = 12
# Every code is filled up to one length, so that the sealed bytes do not tell how long it is.
FILLED = 128
Keys = Mapping[str, bytes]


class CannotOpen(Exception):
    """The key is gone, the bytes were changed, or they belong to another order or person."""


class BadKeys(ValueError):
    """The list of keys is not one; the message is a sentence."""


def seal(code: str, *, order_code: str, keys: Keys) -> tuple[str, bytes]:
    """Name of the key that was used (the first) and nonce + ciphertext + tag. Raises ValueError for over 120 bytes."""
    return seal_for(_of_order(order_code), code, keys=keys)


def seal_for(owner: str, secret: str, *, keys: Keys) -> tuple[str, bytes]:
    """As `seal`, bound to the words of `owner`, which say whose secret of what kind it is."""
    name, key = next(iter(keys.items()))
    plain = secret.encode()
    if len(plain) > FILLED - 8:
        raise ValueError("the code is too long to be sealed")
    nonce = secrets.token_bytes(NONCE_BYTES)
    filled = plain + b"\x00" * (FILLED - len(plain))
    return name, nonce + AESGCM(key).encrypt(nonce, filled, owner.encode())


def unseal(sealed: bytes, *, key_name: str, order_code: str, keys: Keys) -> str:
    """The code. Raises CannotOpen."""
    return unseal_for(_of_order(order_code), sealed, key_name=key_name, keys=keys)


def unseal_for(owner: str, sealed: bytes, *, key_name: str, keys: Keys) -> str:
    """What `seal_for` sealed for the same owner. Raises CannotOpen."""
    key = keys.get(key_name)
    if key is None:
        raise CannotOpen(f"The key {key_name} is not here any more.")
    try:
        filled = AESGCM(key).decrypt(sealed[:NONCE_BYTES], sealed[NONCE_BYTES:], owner.encode())
    except (InvalidTag, ValueError) as fault:
        raise CannotOpen(f"These bytes do not open with this key for this {owner.split()[-2]}.") from fault
    return filled.rstrip(b"\x00").decode()


def read_keys(text: str) -> dict[str, bytes]:
    """Keys from "name:base64" with commas or line ends between them; the first seals. Raises BadKeys."""
    keys: dict[str, bytes] = {}
    for word in text.replace(",", "\n").split():
        name, _, coded = word.partition(":")
        try:
            key = base64.b64decode(coded, validate=True)
        except (binascii.Error, ValueError):
            key = b""
        if not name or len(name) > 20 or len(key) != KEY_BYTES or name in keys:
            raise BadKeys(
                f"write each key as name:base64 of {KEY_BYTES} bytes, each name once and at most 20 characters long"
            )
        keys[name] = key
    if not keys:
        raise BadKeys("there is no key in it")
    return keys


def fresh_key() -> bytes:
    return secrets.token_bytes(KEY_BYTES)


def written(keys: Keys) -> str:
    """The list as `read_keys` reads it, one a line."""
    return "".join(f"{name}:{base64.b64encode(key).decode()}\n" for name, key in keys.items())


def _of_order(order_code: str) -> str:
    return f"unlock code of order {order_code}"
