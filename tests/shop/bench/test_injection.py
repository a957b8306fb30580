"""A voltage for a rail: never above its own, never without a limit, and how to begin."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.bench.injection import guard


def test_above_the_rail_is_never_allowed():
    answer = guard(rail="PP1V8", nominal=D("1.8"), volts=D("3.8"), amps=D(1))
    assert (answer.allowed, answer.advice) == (False, "")
    assert answer.sentence == "3.8 V is above the 1.8 V of PP1V8. Never feed a rail above its own voltage."


@pytest.mark.parametrize(
    ("given_", "words"),
    [
        ({"nominal": None}, "Nobody has said what PP1V8 carries"),
        ({"volts": D(-1)}, "wrong way round"),
        ({"amps": None}, "set a current limit"),
    ],
)
def test_what_is_not_known_is_no_yes(given_, words):
    answer = guard(**{"rail": "PP1V8", "nominal": D("1.8"), "volts": D(1), "amps": D("0.5"), **given_})
    assert not answer.allowed
    assert words in answer.sentence


def test_it_begins_low():
    assert guard(rail="", nominal=D("3.8"), volts=D("0.9"), amps=D("0.5")).advice.startswith(
        "That is a gentle"
    )
    strong = guard(rail="", nominal=D("0.8"), volts=D("0.8"), amps=D(5)).advice
    assert "Begin at 0.4 V with a limit of 0.5 A" in strong
    assert "5 A can lift a pad" in strong


@given(st.decimals("0.1", 50, places=2), st.decimals(-5, 60, places=2), st.decimals(0, 20, places=1))
def test_allowed_is_exactly_not_above_the_rail(nominal, volts, amps):
    assert guard(rail="x", nominal=nominal, volts=volts, amps=amps).allowed == (0 <= volts <= nominal)
