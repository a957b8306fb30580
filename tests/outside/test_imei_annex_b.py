"""Source: 3GPP TS 23.003 Annex B (worked example B.3, seen in a secondary copy); test numbers seen in public files.

001001000000015 stands in the test range 001 (from memory); its check digit follows from the rule.
"""

import pytest

from intake.codes import imei_check


@pytest.mark.parametrize("number", ["260531793113837", "490154203237518", "001001000000015"])
def test_published_imei_holds(number):
    verdict = imei_check(number)
    assert (verdict.kind, verdict.ok) == ("imei", True)


@pytest.mark.parametrize("digit", "012345689")
def test_published_imei_with_another_check_digit_does_not_hold(digit):
    assert imei_check("26053179311383" + digit).ok is False


def test_published_imei_with_the_wrong_check_digit_is_warned_of():
    assert imei_check("490154203237838").ok is False


def test_sixteen_digits_have_no_check_digit():
    verdict = imei_check("2605317931138371")
    assert (verdict.kind, verdict.ok) == ("imeisv", None)
