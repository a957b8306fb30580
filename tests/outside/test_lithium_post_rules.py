"""Sources: Wh by 49 CFR 171.8; small limits 49 CFR 173.185(c) and ADR special provision 188; mark 49 CFR 173.185(c)(3);
damaged 49 CFR 173.185(f) and IATA A154 (all but the first in secondary copies); USPS: 87 FR 73459 (30 Nov 2022)."""

from decimal import Decimal as D

import pytest

from intake.cells import post_rule, watt_hours


@pytest.mark.parametrize(
    ("ah", "volts", "wh"),
    [("4.4", "11.1", "48.84"), ("2.5", "10.8", "27"), ("1.1", "7.4", "8.14"), ("8.79", "11.4", "100.206")],
)
def test_watt_hours(ah, volts, wh):
    assert watt_hours(D(ah), D(volts)) == D(wh)


def test_one_small_cell_in_a_device_needs_no_mark():
    verdict = post_rule(mode="surface", wh=D("12.3"), kind="cell", count=1, packages=1)
    assert (verdict.may_go, verdict.battery_mark) == (True, False)


@pytest.mark.parametrize(
    ("kind", "count", "packages", "mark"),
    [
        ("battery", 1, 3, True),
        ("battery", 2, 2, False),
        ("battery", 3, 1, True),
        ("cell", 4, 2, False),
        ("cell", 5, 1, True),
        ("cell", 1, 3, True),
    ],
)
def test_the_mark_is_needed_beyond_four_cells_two_batteries_or_two_packages(kind, count, packages, mark):
    assert post_rule(wh=D("15"), kind=kind, count=count, packages=packages).battery_mark is mark


@pytest.mark.parametrize(
    ("wh", "kind", "small"),
    [
        ("100", "battery", True),
        ("100.2", "battery", False),
        ("100.206", "battery", False),
        ("20", "cell", True),
        ("20.1", "cell", False),
    ],
)
@pytest.mark.parametrize("mode", ["surface", "air"])
def test_the_limits_of_a_small_battery(mode, wh, kind, small):
    assert post_rule(mode=mode, wh=D(wh), kind=kind).may_go is small


@pytest.mark.parametrize("profile", ["plain", "usps", "uk-2015"])
@pytest.mark.parametrize("mode", ["surface", "air"])
def test_a_damaged_battery_does_not_go(mode, profile):
    verdict = post_rule(mode=mode, wh=D(1), kind="cell", condition="damaged", carrier_profile=profile)
    assert not verdict.may_go
    assert verdict.modes == ()
    assert "173.185(f)" in verdict.sources[0]


def test_usps_takes_a_used_device_by_surface_with_two_texts():
    verdict = post_rule(wh=D("12.3"), kind="cell", carrier_profile="usps")
    assert verdict.may_go
    assert verdict.modes == ("surface",)
    assert verdict.marks == ("Restricted Electronic Device", "Surface Transportation Only")
    assert "87 FR 73459" in verdict.sources[0]


def test_usps_takes_no_used_device_by_air_nor_abroad():
    assert not post_rule(mode="air", wh=D("12.3"), kind="cell", carrier_profile="usps").may_go
    assert not post_rule(wh=D("12.3"), kind="cell", carrier_profile="usps", international=True).may_go
