"""A piece of copper wire on a board: resistance, drop, loss, when it melts, and an estimate of how warm it gets. Pure.

Sources: resistivity of annealed copper 1/58 ohm mm2/m at 20 C and 0.00393 per kelvin, IEC 60028; gauge diameters, ASTM B258;
melting in free air after W. H. Preece (1884) and I. M. Onderdonk, both as quoted in public engineering notes. Thermal
conductivity 401 W/(m K) and heat capacity 3.45 J/(cm3 K) of copper are from memory.
"""

import math
from dataclasses import dataclass

RHO_20 = 1 / 58
ALPHA_20 = 0.00393
CONDUCTIVITY = 401.0
HEAT_CAPACITY = 3.45e6
MELTS_AT = 1083.0
# Above this the solder, the enamel and the model all give up. Common practice, no source.
HIGHEST_RISE = 100.0
THINNEST, THICKEST = 0.005, 3.0
LONGEST = 1000.0
NEVER_A_FUSE = "A wire never bridges a fuse."

SHORT_WIRE = (
    "Estimate. Steady state, heat leaves only along the wire into two pads that stay at the temperature round them, and copper "
    "resists more as it warms. Air and lacquer cool it a little; pads on thin traces warm up, which it does not count."
)
FIRST_SECOND = (
    "Estimate. Adiabatic: no heat leaves in the first second, so it is the most that second can bring."
)
MELTING = "Both say when copper melts in free air, not what is safe. A short wire between pads carries more; its enamel fails long before."


class WireError(ValueError):
    """Something typed makes no sense for a wire; `field` names it and the message is a sentence."""

    def __init__(self, sentence: str, field: str) -> None:
        super().__init__(sentence)
        self.field = field


@dataclass(frozen=True)
class Jumper:
    """ohms_per_metre and ohms at the temperature given, volts dropped, watts lost. preece_amps: melts in free air in the end;
    onderdonk_amps: melts within one second.

    rise: kelvin in the middle after a while, None above HIGHEST_RISE; first_second: kelvin after one second without any
    cooling, None likewise. `warning` is a sentence, '' where there is none.
    """

    diameter: float
    area: float
    ohms_per_metre: float
    ohms: float
    volts: float
    watts: float
    preece_amps: float
    onderdonk_amps: float
    rise: float | None
    first_second: float | None
    warning: str


def awg_diameter(gauge: int) -> float:
    """Millimetres of an American wire gauge, 0.127 mm x 92^((36-n)/39); 0000 is -3 (ASTM B258)."""
    return 0.127 * math.pow(92, (36 - gauge) / 39)


def area_of(diameter: float) -> float:
    """Square millimetres of a round wire of so many millimetres."""
    return math.pi / 4 * diameter**2


def circular_mils(diameter: float) -> float:
    """The area in circular mils: the square of the diameter in thousandths of an inch."""
    return (diameter / 0.0254) ** 2


def ohms_per_metre(diameter: float, celsius: float = 20.0) -> float:
    """Ohm per metre of annealed copper of so many millimetres (IEC 60028)."""
    return RHO_20 / area_of(diameter) * resistance_factor(celsius)


def resistance_factor(celsius: float) -> float:
    """By how much copper resists more than at 20 C."""
    return 1 + ALPHA_20 * (celsius - 20)


def preece_amps(diameter: float) -> float:
    """Amperes that melt a long copper wire in free air: 10244 d^1.5, d in inches (Preece)."""
    return 10244 * math.pow(diameter / 25.4, 1.5)


def onderdonk_amps(diameter: float, *, seconds: float, ambient: float) -> float:
    """Amperes that melt it within so many seconds: A sqrt(log10((Tm-Ta)/(234+Ta)+1)/(33 t)), A in circular mils (Onderdonk)."""
    share = math.log10((MELTS_AT - ambient) / (234 + ambient) + 1)
    return circular_mils(diameter) * math.sqrt(share / (33 * seconds))


def steady_rise(diameter: float, length: float, amps: float, ambient: float) -> float:
    """Kelvin in the middle of a wire of so many millimetres whose ends stay at the ambient; infinite where none is steady.

    Solves k A T'' + I^2 rho (1 + a T) / A = 0 between two ends at nought: (1/cos(mL/2) - 1)/a with m^2 = I^2 rho a / (k A^2).
    For little warming it is I^2 rho L^2 / (8 k A^2).
    """
    rho, alpha = _rho(ambient), ALPHA_20 / resistance_factor(ambient)
    density = amps / (area_of(diameter) * 1e-6)
    half = math.sqrt(density**2 * rho * alpha / CONDUCTIVITY) * length * 1e-3 / 2
    return math.inf if half >= math.pi / 2 else (1 / math.cos(half) - 1) / alpha


def adiabatic_rise(diameter: float, amps: float, ambient: float, seconds: float = 1.0) -> float:
    """Kelvin after so many seconds with no cooling at all: (exp(J^2 rho a t / c) - 1)/a."""
    rho, alpha = _rho(ambient), ALPHA_20 / resistance_factor(ambient)
    density = amps / (area_of(diameter) * 1e-6)
    exponent = density**2 * rho * alpha * seconds / HEAT_CAPACITY
    return math.inf if exponent > 50 else math.expm1(exponent) / alpha


def jumper(*, diameter: float, length: float, amps: float, ambient: float = 25.0) -> Jumper:
    """A wire of so many millimetres across and along, with its current and the degrees Celsius round it. Raises WireError."""
    _sensible(diameter, length, amps, ambient)
    each = ohms_per_metre(diameter, ambient)
    ohms = each * length / 1000
    melts, rise = preece_amps(diameter), steady_rise(diameter, length, amps, ambient)
    first = adiabatic_rise(diameter, amps, ambient)
    return Jumper(
        diameter, area_of(diameter), each, ohms, amps * ohms, amps**2 * ohms, melts,
        onderdonk_amps(diameter, seconds=1.0, ambient=ambient),
        rise if rise <= HIGHEST_RISE else None,
        first if first <= HIGHEST_RISE else None,
        _warning(amps, melts, rise),
    )  # fmt: skip


def _rho(celsius: float) -> float:
    """Ohm metre."""
    return RHO_20 * 1e-6 * resistance_factor(celsius)


def _warning(amps: float, melts: float, rise: float) -> str:
    if amps >= melts:
        return "A long wire like this melts at this current. Take a thicker one, or two side by side."
    if rise > HIGHEST_RISE:
        return "By this model it gets more than 100 K warmer, where solder, enamel and the model fail. Take a thicker or shorter one."
    if amps * 2 > melts:
        return "This is more than half of what melts a long wire. Take a thicker one if there is room."
    return ""


def _sensible(diameter: float, length: float, amps: float, ambient: float) -> None:
    if not THINNEST <= diameter <= THICKEST:
        raise WireError("Write a diameter between 0.005 and 3 mm.", "diameter")
    if not 0 < length <= LONGEST:
        raise WireError("Write a length up to 1,000 mm.", "length")
    if not 0 <= amps <= 100:
        raise WireError("Write a current up to 100 A.", "amps")
    if not -20 <= ambient <= 100:
        raise WireError("Write a temperature between -20 and 100 degrees Celsius.", "ambient")
