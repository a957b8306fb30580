"""Tracking numbers of no known scheme are kept, and nothing typed raises."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.returns.carriers import check_tracking, s10_check_digit


@pytest.mark.parametrize("text", ["", "  ", "--"])
def test_nothing_typed_says_nothing(text):
    assert check_tracking(text).sentence == ""


@pytest.mark.parametrize(
    "text", ["1Z-TEST", "12345", "RB123456785G", "9612345678901234567890", "٤" * 20, "420" + "1" * 10]
)
def test_an_unknown_scheme_is_no_fault(text):
    verdict = check_tracking(text)
    assert (verdict.scheme, verdict.ok) == (None, None)
    assert verdict.sentence.endswith(".")


@given(st.text(max_size=40))
def test_nothing_typed_raises(text):
    check_tracking(text)


@given(st.from_regex("[0-9]{8}", fullmatch=True), st.integers(0, 7), st.integers(1, 9))
def test_a_single_slip_in_an_s10_serial_is_found_unless_its_digit_is_5(serial, place, more):
    """11 is prime, so a changed digit changes the remainder; but two remainders share the check digit 5."""
    number = f"RB{serial}{s10_check_digit(serial)}GB"
    changed = str((int(serial[place]) + more) % 10)
    slip = f"RB{serial[:place]}{changed}{serial[place + 1 :]}{s10_check_digit(serial)}GB"
    assert check_tracking(number).ok
    if s10_check_digit(serial) != "5":
        assert check_tracking(slip).ok is False


def test_the_serial_must_have_eight_digits():
    with pytest.raises(ValueError, match="eight digits"):
        s10_check_digit("1234567")
