"""Source: ISO 11649:2009 Annex B.1 (2348231 gives RF71, seen in a secondary copy); RF18 5390 0754 7034 of the
python-stdnum documentation. One stored page prints RF68 for the latter, which is wrong."""

import pytest

from intake.codes import payment_reference


@pytest.mark.parametrize(
    ("number", "reference"), [("2348231", "RF712348231"), ("5390 0754 7034", "RF18539007547034")]
)
def test_published_reference(number, reference):
    assert payment_reference(number) == reference
