"""One-time codes and recovery codes as plain values. Pure: bytes, words and seconds in, the same out.

The code is TOTP of RFC 6238 over HOTP of RFC 4226: SHA-1, six digits, a new one each 30 seconds counted from the Unix
epoch; the secret has 160 random bits, as RFC 4226 section 4 (R6) recommends. One step before and after is let in for
clocks that differ (RFC 6238 section 5.2).
"""

import io
import re
import secrets
from base64 import b64encode
from collections.abc import Callable
from hmac import compare_digest

import pyotp
import segno

STEP_SECONDS = 30
DIGITS = 6
SECRET_LETTERS = 32  # of base32, five bits each: 160 bits
NEIGHBOURS = (0, -1, 1)
# Thirty signs without I and O, 0 and 1, 8 and 9: none is taken for another on paper.
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ234567"
RECOVERY_LETTERS = 11
RECOVERY_CODES = 10


def fresh_secret() -> str:
    """160 random bits as 32 letters of base32."""
    return pyotp.random_base32(SECRET_LETTERS)


def step_at(seconds: float) -> int:
    """The number of the step at a moment, in seconds since the Unix epoch."""
    return int(seconds) // STEP_SECONDS


def code_at(secret: str, step: int) -> str:
    """The six digits of a step."""
    return pyotp.TOTP(secret, digits=DIGITS, interval=STEP_SECONDS).generate_otp(step)


def step_of(typed: str, *, secret: str, seconds: float) -> int | None:
    """The step whose code was typed: of now, the one before or the one after; None for no such code."""
    digits = re.sub(r"[\s-]", "", typed)
    if not re.fullmatch(r"\d{6}", digits, re.ASCII):
        return None
    here = step_at(seconds)
    fitting = [
        step
        for by in NEIGHBOURS
        if here + by >= 0 and compare_digest(code_at(secret, step := here + by), digits)
    ]
    return fitting[0] if fitting else None


def address(secret: str, *, name: str, house: str) -> str:
    """What the picture holds: the otpauth address that programs for one-time codes read."""
    totp = pyotp.TOTP(secret, digits=DIGITS, interval=STEP_SECONDS)
    return totp.provisioning_uri(name=name, issuer_name=re.sub(r"[:\s]+", " ", house).strip() or "Benchpost")


def picture(text: str) -> str:
    """The address as a QR symbol, an SVG data: address. Not kept anywhere, unlike the symbols of papers."""
    out = io.BytesIO()
    segno.make(text, error="m", micro=False).save(
        out, kind="svg", xmldecl=False, svgclass=None, lineclass=None, border=4, scale=5, light="#fff"
    )
    return "data:image/svg+xml;base64," + b64encode(out.getvalue()).decode()


def in_fours(secret: str) -> str:
    """The secret for typing it by hand."""
    return " ".join(secret[start : start + 4] for start in range(0, len(secret), 4))


def fresh_list(pick: Callable[[str], str] = secrets.choice) -> list[str]:
    """Ten recovery codes of eleven letters, as they are compared. Each has over 53 random bits."""
    return ["".join(pick(LETTERS) for _ in range(RECOVERY_LETTERS)) for _ in range(RECOVERY_CODES)]


def printed(place: int, code: str) -> str:
    """A recovery code as it stands on the list: its number, then its letters in groups."""
    return f"{place}-{code[:4]}-{code[4:8]}-{code[8:]}"


def read_recovery(typed: str) -> tuple[int, str] | None:
    """Number on the list and letters of what was typed, in any grouping; None for what cannot be one."""
    plain = re.sub(r"[\s.-]", "", typed).upper()
    match = re.fullmatch(rf"(10|[1-9])([{LETTERS}]{{{RECOVERY_LETTERS}}})", plain, re.ASCII)
    return (int(match[1]), match[2]) if match else None
