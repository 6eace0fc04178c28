"""How numbers and quantities are written: the trade's symbols, few digits, groups of three.

A display in the other system of units converts what is shown and rounds nothing that is stored.
"""

from __future__ import annotations

import re
from decimal import Decimal
from math import isfinite

from specapp.kernel.units import UNITS, convert

THIN_SPACE = "\u202f"  # narrow no-break space between groups of three digits

_US_OF_SI = {
    "um": "mil",
    "mm": "in",
    "mm/s": "in/s",
    "m": "ft",
    "degC": "degF",
    "kW": "hp",
    "bar": "psi",
    "mV/um": "mV/mil",
}
_SI_OF_US = {us: si for si, us in _US_OF_SI.items()}
_DETECTION = {"": "", "pp": "p-p", "peak": "peak", "rms": "r.m.s.", "mean": "mean"}
_EXACT_DIGITS = 6  # a value that needs no more is written as it is
_ROUNDED_DIGITS = 4  # of the others, the results of calculations


def number_text(value: float, *, digits: int | None = None, separator: str = THIN_SPACE) -> str:
    """Return a number as people read it, without an exponent.

    A value of up to six significant digits is written in full; a longer one is rounded to four, or to
    whole numbers above that. `digits` asks for another number of significant digits.
    """
    if not isfinite(value):
        raise ValueError(f"{value} cannot be written as a number")
    exact = f"{value:.10g}"
    if digits is None:
        digits = _ROUNDED_DIGITS if _significant(exact) > _EXACT_DIGITS else 10
    magnitude = len(str(int(abs(value)))) if abs(value) >= 1 else 0
    # Through Decimal: twelve decimals of a float would show its binary noise (8208.799999999999).
    text = format(Decimal(f"{value:.{max(digits, magnitude, 1)}g}"), "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    text = "0" if text in ("-0", "") else text
    whole, point, decimals = text.partition(".")
    sign = "-" if whole.startswith("-") else ""
    whole = whole.lstrip("-")
    if len(whole) > 4:
        whole = f"{int(whole):,}".replace(",", separator)
    return f"{sign}{whole}{point}{decimals}"


def typed_number(value: float) -> str:
    """Return a number as a person would type it, for messages that may be copied back."""
    return number_text(value, separator=" ")


def _significant(exact: str) -> int:
    mantissa = exact.split("e")[0].lstrip("-").replace(".", "")
    return len(mantissa.strip("0")) or 1


def with_unit(value: float, unit: str, *, detection: str = "", digits: int | None = None) -> str:
    """Return a value with its unit's printed symbol and, where given, its detection (pp, peak, rms, mean)."""
    symbol = UNITS[unit].symbol if unit in UNITS else ("" if unit == "1" else unit)
    gap = "" if symbol in ("°", "") else " "
    detected = f" {_DETECTION[detection]}" if _DETECTION[detection] else ""
    return f"{number_text(value, digits=digits)}{gap}{symbol}{detected}"


def other_unit(unit: str, display: str | None, us_unit: str = "") -> str | None:
    """Return the unit in which a reader of `display` ("si" or "us") expects a value, None if it is `unit`."""
    if display == "us" and unit in _US_OF_SI:
        return us_unit or _US_OF_SI[unit]
    if display == "si" and unit in _SI_OF_US:
        return _SI_OF_US[unit]
    return None


def converted_text(value: float, unit: str, target: str, *, detection: str = "") -> str:
    """Return a value in another unit, with three digits or as many as the value itself has."""
    result = convert(value, unit, target)
    if target in ("degC", "degF"):
        decimals = min(len(f"{value:.10g}".partition(".")[2]), 1)
        return with_unit(round(result, decimals), target)
    digits = min(max(3, _significant(f"{value:.10g}")), 5)
    return with_unit(result, target, detection=detection, digits=digits)


def format_quantity(
    value: float,
    unit: str,
    display: str | None = None,
    *,
    detection: str = "",
    us_unit: str = "",
    digits: int | None = None,
) -> str:
    """Return a quantity as printed, with its value in the reader's other units beside it.

    `display` is "si", "us" or None for the unit it is in: 41 um for a US reader is
    "41 µm (= 1.61 mil)". `us_unit` names the US unit where the usual one would mislead (mil for an
    axial position in mm).
    """
    own = with_unit(value, unit, detection=detection, digits=digits)
    target = other_unit(unit, display, us_unit)
    if target is None:
        return own
    return f"{own} (= {converted_text(value, unit, target, detection=detection)})"


_SYMBOLS = {"um": "µm", "degC": "°C", "degF": "°F"}
_UNIT_IN_PROSE = re.compile(r"(?<=\d )(?:um|degC|degF)\b")


def unit_symbols(text: str) -> str:
    """Return a sentence of the proposal with its unit names as people read them: "29 um" is "29 µm"."""
    return _UNIT_IN_PROSE.sub(lambda unit: _SYMBOLS[unit.group()], text)
