"""One-time codes against the published vectors of RFC 6238, appendix B (the SHA-1 rows of its table).

The RFC prints eight digits; ours are six, which by RFC 4226, section 5.3, are the last six of the same number.
"""

import base64

import pyotp
import pytest

from shop.doors import one_time

SECRET = base64.b32encode(b"12345678901234567890").decode()
VECTORS = [
    (59, "94287082"),
    (1111111109, "07081804"),
    (1111111111, "14050471"),
    (1234567890, "89005924"),
    (2000000000, "69279037"),
    (20000000000, "65353130"),
]


@pytest.mark.parametrize(("seconds", "printed"), VECTORS)
def test_library_gives_the_published_code(seconds: int, printed: str) -> None:
    assert pyotp.TOTP(SECRET, digits=8).at(seconds) == printed


@pytest.mark.parametrize(("seconds", "printed"), VECTORS)
def test_code_of_a_step_is_the_end_of_the_published_one(seconds: int, printed: str) -> None:
    assert one_time.code_at(SECRET, one_time.step_at(seconds)) == printed[-6:]


@pytest.mark.parametrize(("seconds", "printed"), VECTORS)
def test_check_takes_the_published_code_for_its_step_and_the_two_beside_it(
    seconds: int, printed: str
) -> None:
    step = seconds // 30
    for moment in (step * 30 - 30, step * 30, step * 30 + 29, step * 30 + 59):
        assert one_time.step_of(printed[-6:], secret=SECRET, seconds=moment) == step
    for moment in (step * 30 - 31, step * 30 + 60):
        assert one_time.step_of(printed[-6:], secret=SECRET, seconds=moment) is None


def test_steps_are_those_of_the_table() -> None:
    """Column "Value of T" of the same table, in hexadecimal there."""
    assert [one_time.step_at(seconds) for seconds, _ in VECTORS] == [
        0x1, 0x23523EC, 0x23523ED, 0x273EF07, 0x3F940AA, 0x27BC86AA,
    ]  # fmt: skip
