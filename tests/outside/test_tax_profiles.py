"""One order under four systems of tax that contradict each other.

Sources (excerpts; each to be confirmed with a tax adviser): California Regulation 1546 and annotations 315.0215, 557.0340; 20
NYCRR 527.5 and 528.23; 34 Tex. Admin. Code 3.292; HMRC manual VATPOSS08900. Rates: round ones, chosen for the test.
"""

from decimal import Decimal as D

import pytest

from quotes.pricing import LineInput, Policy, price
from quotes.tax_profiles import PROFILES, california, flat, new_york, texas, united_kingdom

RATE = D(10)
CA, NY, TX, UK = california(RATE), new_york(RATE), texas(RATE), united_kingdom(RATE)

ORDER = [
    LineInput("labour", "Work", unit_price=D("80.00")),
    LineInput("part", "Connector", unit_price=D("20.00")),
    LineInput("post", "Return post", unit_price=D("12.00")),
]


def priced(profile, place="", customer="consumer", lines=ORDER, **more):
    policy = Policy(
        "USD", D(0), D(0), {}, D(0), D(0), tax_profile=profile, place=place, customer=customer, **more
    )
    return price(lines, policy)


def letters(sums):
    return [line.tax_category for line in sums.lines]


@pytest.mark.parametrize(
    ("profile", "tax", "categories"),
    [
        (CA, "2.00", ["E", "S", "E"]),
        (NY, "11.20", ["S", "S", "S"]),
        (TX, "11.20", ["S", "S", "S"]),
        (UK, "11.20", ["S", "S", "S"]),
    ],
    ids=["california", "new york", "texas", "united kingdom"],
)
def test_the_order_sent_within_the_shops_own_place(profile, tax, categories):
    sums = priced(profile)
    assert (sums.tax, letters(sums)) == (D(tax), categories)
    assert all(line.tax_reason for line in sums.lines)


@pytest.mark.parametrize(
    ("profile", "place", "tax", "categories"),
    [
        (CA, "US-NV", "0.00", ["O", "O", "O"]),
        (NY, "US-NJ", "0.00", ["O", "O", "O"]),
        (TX, "US-OK", "11.20", ["S", "S", "S"]),
        (UK, "FR", "0.00", ["G", "G", "G"]),
    ],
    ids=["california", "new york", "texas", "united kingdom"],
)
def test_the_order_sent_elsewhere(profile, place, tax, categories):
    """New York lets go what a carrier takes out of the state; the United Kingdom zero-rates the export."""
    sums = priced(profile, place)
    assert (sums.tax, letters(sums)) == (D(tax), categories)


@pytest.mark.parametrize(
    ("profile", "tax"),
    [(CA, "0.00"), (NY, "0.00"), (TX, "0.00"), (UK, "11.20")],
    ids=["california", "new york", "texas", "united kingdom"],
)
def test_the_order_of_a_customer_with_a_certificate(profile, tax):
    assert priced(profile, customer="certificate").tax == D(tax)
    assert priced(profile, customer="trade").tax == priced(profile).tax


def test_a_diagnosis_alone_is_taxed_in_new_york_and_not_in_california():
    fee = [LineInput("fee", "Diagnosis", unit_price=D(30), tax_kind="diagnosis")]
    assert priced(NY, lines=fee).tax == D("3.00")
    assert priced(CA, lines=fee).tax == 0


@pytest.mark.parametrize(
    ("part", "apart", "tax"),
    [
        ("20.00", True, "2.00"),
        ("20.00", False, "2.00"),
        ("10.00", True, "1.00"),
        ("10.00", False, "0.00"),
        ("10.01", False, "1.00"),
    ],
)
def test_californias_tenth(part, apart, tax):
    """Parts above a tenth of the charge, or standing apart on the bill, are taxed; else the shop uses them up. The whole
    charge is 100.00 here, the post not counted."""
    lines = [
        LineInput("labour", "Work", unit_price=D(100) - D(part)),
        LineInput("part", "Connector", unit_price=D(part)),
        LineInput("post", "Return post", unit_price=D("12.00")),
    ]
    sums = priced(CA, lines=lines, parts_apart=apart)
    assert sums.tax == D(tax)
    assert sums.lines[1].tax_reason


def test_a_deposit_is_taxed_at_once_only_in_the_united_kingdom():
    deposit = [LineInput("fee", "Deposit", unit_price=D(50), tax_kind="deposit")]
    assert [priced(one, lines=deposit).tax for one in (CA, NY, TX, UK)] == [0, 0, 0, 5]


def test_flat_is_the_rates_by_kind():
    rates = {"part": D(8), "post": D(0)}
    by_profile = priced(flat(rates), "ZZ", "certificate")
    by_rates = price(ORDER, Policy("USD", D(0), D(0), rates, D(0), D(0)))
    assert by_profile.tax_groups == by_rates.tax_groups
    assert by_profile.total == by_rates.total == D("113.60")


@pytest.mark.parametrize("make", PROFILES.values(), ids=PROFILES)
def test_each_profile_names_its_source_and_asks_for_confirmation(make):
    assert "Confirm with a tax adviser." in make().source
    assert make().version == 1
