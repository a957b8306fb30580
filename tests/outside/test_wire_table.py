"""The wire sums against published values; each says where it was published.

Resistances: the wire table of hyperphysics.gsu.edu (Georgia State University), column ohms per 1000 ft, four digits. Fusing
diameters: nessengr.com, table after Preece. Onderdonk: a worked case quoted beside the formula. Copper: IEC 60028, NBS.
"""

import pytest

from shop.bench.wire_maths import (
    adiabatic_rise,
    area_of,
    awg_diameter,
    circular_mils,
    jumper,
    ohms_per_metre,
    onderdonk_amps,
    preece_amps,
    resistance_factor,
    steady_rise,
)

FEET = 304.8


@pytest.mark.parametrize(
    ("gauge", "ohms_per_1000_ft"), [(30, "103.2"), (36, "414.8"), (38, "659.6"), (40, "1049")]
)
def test_resistance_of_a_gauge_as_published(gauge, ohms_per_1000_ft):
    """hyperphysics.gsu.edu, ohms per 1000 ft at 20 C. Tables made from rounded diameters differ."""
    digits = len(ohms_per_1000_ft.split(".")[1]) if "." in ohms_per_1000_ft else 0
    ours = ohms_per_metre(awg_diameter(gauge)) * FEET
    # AWG 36 comes to 414.85 and stands there cut, not rounded.
    assert ours == pytest.approx(float(ohms_per_1000_ft), abs=0.6 * 10**-digits)


@pytest.mark.parametrize(("gauge", "cmil"), [(38, 15.72), (40, 9.89)])
def test_circular_mils_of_a_gauge_as_published(gauge, cmil):
    assert circular_mils(awg_diameter(gauge)) == pytest.approx(cmil, abs=0.005)


def test_gauges_by_definition():
    """ASTM B258: AWG 36 is 5 mil, 0000 is 460 mil, in 39 equal steps."""
    assert awg_diameter(36) == pytest.approx(0.127)
    assert awg_diameter(-3) == pytest.approx(0.460 * 25.4)
    assert awg_diameter(35) / awg_diameter(36) == pytest.approx(1.122932, abs=1e-6)


@pytest.mark.parametrize(("celsius", "factor"), [(25, 1.01965), (60, 1.1572), (90, 1.2751)])
def test_copper_resists_more_when_warm(celsius, factor):
    """IEC 60028, 0.00393 per kelvin; the NBS page says about 28 % at 90 C."""
    assert resistance_factor(celsius) == pytest.approx(factor, abs=5e-5)


@pytest.mark.parametrize(
    ("diameter", "ohms"), [(0.02, 54.881), (0.05, 8.7810), (0.08, 3.4301), (0.1, 2.19524), (0.2, 0.549)]
)
def test_resistance_of_bench_wire(diameter, ohms):
    """Own sum from IEC 60028's 1/58 ohm mm2/m, done apart from this code."""
    assert ohms_per_metre(diameter) == pytest.approx(ohms, rel=1e-3 if diameter == 0.2 else 2e-5)


@pytest.mark.parametrize(
    ("amps", "inches"), [(1, 0.0021), (5, 0.0062), (10, 0.0098), (20, 0.0156), (100, 0.0457), (300, 0.0950)]
)
def test_preece_as_published(amps, inches):
    """nessengr.com: the diameter that melts at a current, rounded to a ten-thousandth of an inch."""
    assert preece_amps((inches - 0.00005) * 25.4) <= amps <= preece_amps((inches + 0.00005) * 25.4)


def test_onderdonk_as_published():
    """2581 circular mils for 5 s from 25 C: 168.86 A (worked beside the formula)."""
    diameter = 2581**0.5 * 0.0254
    assert onderdonk_amps(diameter, seconds=5, ambient=25) == pytest.approx(168.86, abs=0.01)


def test_melting_currents_of_bench_wire():
    """Own sums from both formulas, done apart from this code."""
    assert preece_amps(0.1) == pytest.approx(2.531, abs=5e-4)
    assert preece_amps(awg_diameter(42)) == pytest.approx(1.276, abs=5e-4)
    assert onderdonk_amps(0.1, seconds=1, ambient=25) == pytest.approx(2.268, abs=5e-4)
    assert onderdonk_amps(0.1, seconds=0.01, ambient=25) == pytest.approx(22.68, abs=5e-3)


def test_the_jumper_of_the_bench_card():
    """15 mm of 0.10 mm at 20 C and 0.5 A: 32.93 milliohm, 16.5 mV, 8.2 mW; 12 mm at 60 mA drops 1.6 mV. Own sums, done apart."""
    wire = jumper(diameter=0.1, length=15, amps=0.5, ambient=20)
    assert wire.ohms == pytest.approx(0.03293, abs=5e-6)
    assert wire.volts == pytest.approx(0.0165, abs=5e-5)
    assert wire.watts == pytest.approx(0.0082, abs=5e-5)
    assert jumper(diameter=0.1, length=12, amps=0.06, ambient=20).volts == pytest.approx(0.0016, abs=5e-5)


def test_the_rise_against_a_sum_in_many_small_pieces():
    """Another method: the wire in 400 pieces, each heated and conducting to its neighbours, solved as one chain."""
    from scipy.linalg import solve_banded

    diameter, length, amps, ambient, pieces = 0.05, 0.012, 0.5, 25.0, 400
    area, step = area_of(diameter) * 1e-6, length / pieces
    rho, alpha = 1e-6 / 58 * (1 + 0.00393 * 5), 0.00393 / (1 + 0.00393 * 5)
    heat = amps**2 * rho / area * step
    bands = [[-401 * area / step] * (pieces - 1), [2 * 401 * area / step - heat * alpha] * (pieces - 1)]
    found = solve_banded((1, 1), [bands[0], bands[1], bands[0]], [heat] * (pieces - 1))
    assert steady_rise(diameter, length * 1000, amps, ambient) == pytest.approx(max(found), rel=1e-4)


def test_the_first_second_against_a_sum_in_small_steps():
    """Another method: a thousand steps of a millisecond."""
    temperature = 0.0
    density = 0.5 / (area_of(0.1) * 1e-6)
    for _ in range(10_000):
        rho = 1e-6 / 58 * (1 + 0.00393 * (5 + temperature))
        temperature += density**2 * rho * 1e-4 / 3.45e6
    assert adiabatic_rise(0.1, 0.5, 25.0) == pytest.approx(temperature, rel=1e-4)
