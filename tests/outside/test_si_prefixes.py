"""The prefixes against another hand: pint's registry, which carries the SI Brochure's table (BIPM, 9th edition).

Only upper and lower case m differ from it, on purpose: outside ohms the mode decides, since nobody measures megavolts here.
"""

import warnings
from decimal import Decimal as D

import pint
import pytest

from quotes.reading_text import UNITS, parse_reading
from quotes.reading_values import PREFIX_WORDS, PREFIXES

WAYS = {"ohms": "r", "volts": "v", "amps": "a", "hertz": "hz"}
# The mode reads these letters the other way.
NOT_SO = {("hertz", "m"), ("volts", "M"), ("amps", "M")}
PAIRS = [
    (mode, prefix) for mode in sorted(WAYS) for prefix in PREFIXES if prefix and (mode, prefix) not in NOT_SO
]
PINT_UNITS = {"ohm": "ohm", "V": "volt", "A": "ampere", "Hz": "hertz"}


@pytest.fixture(scope="module")
def registry():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return pint.UnitRegistry(non_int_type=D)


@pytest.mark.parametrize(("mode", "prefix"), PAIRS)
def test_a_prefixed_value_equals_pints(registry, mode, prefix):
    unit = PINT_UNITS[UNITS[mode]]
    outside = registry.Quantity(D("4.7") * 10**3, f"{PREFIX_WORDS[prefix]}{unit}").to(unit).magnitude
    read = parse_reading(f"TP {WAYS[mode]} 4700{prefix}")
    assert read.value == outside


@pytest.mark.parametrize("prefix", [prefix for prefix in PREFIXES if prefix])
def test_each_letter_is_the_one_pint_knows(registry, prefix):
    outside = registry.Quantity(D(1), f"{prefix}V").to("volt").magnitude
    assert D(10) ** PREFIXES[prefix] == outside
