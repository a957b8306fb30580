"""A state in the typed line goes before the one that stayed, and never round the guard of a rail."""

from decimal import Decimal as D

import pytest

from intake.refusals import Refused
from shop.traveller.measuring import measured_from
from shop.traveller.supply import BOOTED, INJECTING, ON_SUPPLY, UNPOWERED

pytestmark = pytest.mark.django_db


def taken(line, **stayed):
    measured, _ = measured_from({"line": line, **stayed})
    return measured.state, measured.supply_volts, measured.supply_amps


def test_the_line_goes_before_what_stayed():
    stayed = {"state": UNPOWERED, "supply_volts": "5", "supply_amps": "2"}
    assert taken("PP1V8 on 3.8V 1A v 1.79", **stayed) == (ON_SUPPLY, D("3.8"), D(1))
    assert taken("PP1V8 on 3.8V v 1.79", **stayed) == (ON_SUPPLY, D("3.8"), None)
    assert taken("PP1V8 v 1.79 booted", state=UNPOWERED) == (BOOTED, None, None)
    assert taken("PP1V8 r 300 off", state=BOOTED) == (UNPOWERED, None, None)


def test_a_line_without_a_state_keeps_what_stayed():
    assert taken("PP1V8 v 1.79", state=ON_SUPPLY, supply_volts="3.8") == (ON_SUPPLY, D("3.8"), None)


def test_volts_of_a_line_never_pass_the_guard_of_the_rail():
    with pytest.raises(Refused, match="above the 1.8 V of PP1V8"):
        taken("PP1V8 on 3.8V 1A t 41", state=INJECTING, nominal="1.8", supply_volts="1")
