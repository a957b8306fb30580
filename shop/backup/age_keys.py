"""Keys of the age format (age-encryption.org, version 1, X25519): read, checked and made. Knows no settings.

`python -m shop.backup.age_keys` prints a new one, with its public key in a comment.

A sealed file names nobody and shows any change of a byte or a cut at its opening (the format authenticates each
64 KiB piece and marks the last one), so that no other signature is put on it.
"""

import sys

import pyrage
from pyrage import x25519

FILE_LINES = (
    "# The key that opens this shop's backups. Whoever has it can read every backup.",
    "# Keep a copy of it away from this machine; it is in no backup.",
)


class BadKey(ValueError):
    """A text is no such key; the message says so in one sentence."""


def recipients(texts: list[str]) -> list[x25519.Recipient]:
    """Public keys, `age1...` each. Raises BadKey."""
    return [_recipient(text) for text in texts]


def identities(text: str) -> list[x25519.Identity]:
    """Every `AGE-SECRET-KEY-1...` line of a key file's text; lines with # and empty ones say nothing. Raises BadKey."""
    lines = [line.strip() for line in text.splitlines()]
    found = [_identity(line) for line in lines if line and not line.startswith("#")]
    if not found:
        raise BadKey("There is no key in it.")
    return found


def public_of(identity: x25519.Identity) -> str:
    """The public key that seals for an identity."""
    return str(identity.to_public())


def fresh_file() -> str:
    """The text of a key file with a new identity."""
    identity = x25519.Identity.generate()
    return "\n".join([*FILE_LINES, f"# public key: {public_of(identity)}", str(identity), ""])


def _recipient(text: str) -> x25519.Recipient:
    try:
        return x25519.Recipient.from_str(text)
    except pyrage.RecipientError as fault:
        raise BadKey(
            f"{text[:12]!r}... is no public key; one begins with age1 and has 62 characters."
        ) from fault


def _identity(text: str) -> x25519.Identity:
    try:
        return x25519.Identity.from_str(text)
    except pyrage.IdentityError as fault:
        raise BadKey("A line of it is no key; one begins with AGE-SECRET-KEY-1.") from fault


if __name__ == "__main__":
    sys.stdout.write(fresh_file())
