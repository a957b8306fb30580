"""A reading's number as people read it: in the prefix it was typed with, OL as OL."""

from decimal import Decimal

_SHIFT = {"n": -9, "u": -6, "m": -3, "": 0, "k": 3, "M": 6, "G": 9}
_SIGNS = {"ohm": "Ω", "C": "°C"}


def amount(value: Decimal | None, special: str, prefix: str, unit: str) -> str:
    """Such as "4.7 kΩ", "0.452 V", "OL". `value` is in the base unit."""
    if value is None:
        return special or "nothing"
    return f"{_plain(value.scaleb(-_SHIFT.get(prefix, 0)))} {_prefix(prefix)}{_SIGNS.get(unit, unit)}".strip()


def should_be(low: Decimal | None, high: Decimal | None, prefix: str, unit: str) -> str:
    """The limits in the reading's prefix: "0.43 – 0.47 V", "> 300 Ω"; "" where there are none."""
    if low is None and high is None:
        return ""
    sign = f"{_prefix(prefix)}{_SIGNS.get(unit, unit)}"
    shift = -_SHIFT.get(prefix, 0)
    if low is not None and high is not None:
        return f"{_plain(low.scaleb(shift))} – {_plain(high.scaleb(shift))} {sign}"
    if low is not None:
        return f"> {_plain(low.scaleb(shift))} {sign}"
    assert high is not None
    return f"< {_plain(high.scaleb(shift))} {sign}"


def _prefix(prefix: str) -> str:
    return "µ" if prefix == "u" else prefix


def _plain(value: Decimal) -> str:
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
