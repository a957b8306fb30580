"""The wire's own rules: what it refuses, where the estimate ends, what it warns of."""

import pytest

from shop.bench.wire_maths import CONDUCTIVITY, WireError, area_of, jumper, ohms_per_metre, steady_rise


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"diameter": 0}, "diameter"),
        ({"length": 0}, "length"),
        ({"amps": -1}, "amps"),
        ({"ambient": 200}, "ambient"),
    ],
)
def test_what_is_no_wire_is_refused_at_its_field(wrong, field):
    with pytest.raises(WireError) as refusal:
        jumper(**{"diameter": 0.1, "length": 10, "amps": 0.1, **wrong})
    assert refusal.value.field == field


def test_little_warming_follows_the_square_of_the_length():
    short, long = steady_rise(0.1, 5, 0.1, 20), steady_rise(0.1, 10, 0.1, 20)
    area = area_of(0.1) * 1e-6
    plain = 0.1**2 * ohms_per_metre(0.1) * area * 0.01**2 / (8 * CONDUCTIVITY * area**2)
    assert long / short == pytest.approx(4, rel=1e-2)
    assert long == pytest.approx(plain, rel=1e-2)


def test_the_estimate_ends_where_solder_does():
    wire = jumper(diameter=0.02, length=20, amps=0.2)
    assert wire.rise is None
    assert "100 K" in wire.warning


def test_a_current_that_melts_it_is_said_first():
    assert "melts" in jumper(diameter=0.1, length=5, amps=3).warning


def test_more_than_half_of_melting_is_said():
    assert "more than half" in jumper(diameter=0.1, length=5, amps=1.3).warning


def test_a_modest_current_needs_no_warning():
    wire = jumper(diameter=0.1, length=12, amps=0.06)
    assert (wire.warning, wire.rise < 1) == ("", True)
