"""Sources: UPU S10 check digit description (encyclopaedia copy) for 47312482 -> 9 and RB123456785GB; the special cases 0 and
5 follow from the rule. USPS numbers: open data set jkeen/tracking_number_data (MIT). MOD 10: USPS Publication 109."""

import pytest

from shop.returns.carriers import check_tracking, s10_check_digit


@pytest.mark.parametrize(
    ("serial", "digit"),
    [("47312482", "9"), ("12345678", "5"), ("00000008", "0"), ("00000015", "5"), ("00000000", "5")],
)
def test_s10_check_digits(serial, digit):
    assert s10_check_digit(serial) == digit


@pytest.mark.parametrize("number", ["RB123456785GB", "RB 123 456 785 GB", "la473124829zz"])
def test_s10_numbers_hold(number):
    verdict = check_tracking(number)
    assert (verdict.scheme, verdict.ok) == ("UPU S10", True)


@pytest.mark.parametrize("digit", "012346789")
def test_s10_with_another_check_digit_does_not_hold(digit):
    verdict = check_tracking(f"RB12345678{digit}GB")
    assert (verdict.scheme, verdict.ok) == ("UPU S10", False)


USPS = [
    "9101123456789000000013",
    "71123456789123456787",
    "9400111206206406260787",
    "9400111201080805483016",
    "03071790000523483741",
]


@pytest.mark.parametrize("number", USPS)
@pytest.mark.parametrize("before", ["", "42000000", "420000001234"])
def test_usps_numbers_hold_with_and_without_the_zip_code(number, before):
    verdict = check_tracking(before + number)
    assert (verdict.scheme, verdict.ok) == ("USPS", True)


@pytest.mark.parametrize("number", ["9101123456789000000014", "03071790000523483742"])
def test_usps_numbers_with_a_slip_do_not_hold(number):
    verdict = check_tracking(number)
    assert (verdict.scheme, verdict.ok) == ("USPS", False)
