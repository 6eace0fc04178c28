"""Units of measurement: what a spelling means, and conversion between units of one kind.

The only module that imports pint, and it gives pint its own small list of units. The general list of
that library means other things than this trade does: there "mil" is an angle, "g" a gram, the radian
is 1 so that 60 rpm becomes 6.28 Hz, and unknown words may parse as prefix plus unit. Here revolutions
and cycles are dimensions of their own, so no conversion between a speed and a frequency exists
(`kernel.speeds` crosses between them), there are no prefixes, and only the units below exist.

pint takes a third of a second to start, more than everything else a command does, so its answers for the
units of one kind are kept in `unit_conversions` and it is started only for the others (a sensitivity, a
unit added since). A test holds that table against pint.

Pressures are gauge pressures; an absolute pressure is a kind of its own that never converts to gauge.
Peak, peak to peak and r.m.s. are not units: the caller keeps the detection beside the value.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any
from unicodedata import normalize

from specapp.kernel.unit_conversions import CONVERSIONS

if TYPE_CHECKING:
    import pint


class UnknownUnit(ValueError):
    """A unit is not in the list of this module, or not of the kind asked for."""


class UnitMismatch(ValueError):
    """Two units measure different things and no conversion exists."""


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: its name in documents and code, printed symbol and accepted spellings."""

    name: str
    definition: str  # right-hand side in pint's syntax
    symbol: str
    spellings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of quantity: what it is called, the units it may be given in, the first as example."""

    key: str
    label: str
    units: tuple[str, ...]
    suffixes: tuple[str, ...] = ()  # words that may follow the unit because the kind implies them


def _unit(name: str, definition: str, symbol: str = "", spellings: str = "") -> Unit:
    return Unit(name, definition, symbol or name, (name, *spellings.split()))


# One line a unit. A year is 8760 h, as reliability calculations count it (IEC 61508, from memory).
_UNITS = (
    _unit("m", "[length]", "m", "metre metres meter meters"),
    _unit("mm", "1e-3 m", "mm", "millimetre millimetres millimeter millimeters"),
    _unit("cm", "1e-2 m", "cm", "centimetre centimetres centimeter centimeters"),
    _unit("um", "1e-6 m", "µm", "µm micron microns micrometre micrometres micrometer micrometers"),
    _unit("in", "0.0254 m", "in", "inch inches in. \" '' ″ ”"),
    _unit("ft", "0.3048 m", "ft", "foot feet"),
    _unit("mil", "1e-3 in", "mil", "mils thou thous"),
    _unit("s", "[time]", "s", "sec secs second seconds"),
    _unit("ms", "1e-3 s", "ms", "millisecond milliseconds"),
    _unit("us", "1e-6 s", "µs", "µs microsecond microseconds"),
    _unit("min", "60 s", "min", "minute minutes"),
    _unit("h", "3600 s", "h", "hr hrs hour hours"),
    _unit("day", "24 h", "d", "d days"),
    _unit("week", "7 day", "week", "weeks"),
    _unit("month", "730 h", "month", "months"),
    _unit("year", "8760 h", "year", "y yr yrs years"),
    _unit("revolution", "[rotation]", "r", ""),
    _unit("rpm", "revolution / min", "r/min", "r/min rev/min 1/min min-1 min^-1 /min r.p.m. revolutions/min"),
    _unit("rad", "revolution / 6.283185307179586", "rad", "radian radians"),
    _unit("rad/s", "rad / s", "rad/s", "rad/sec"),
    _unit("deg", "revolution / 360", "°", "° degree degrees"),
    _unit("cycle", "[cycle]", "cycle", ""),
    _unit("Hz", "cycle / s", "Hz", "hertz"),
    _unit("kHz", "1e3 Hz", "kHz", "kilohertz"),
    _unit("MHz", "1e6 Hz", "MHz", "megahertz"),
    _unit("cpm", "cycle / min", "cpm", "c/min cycles/min"),
    _unit("mm/s", "mm / s", "mm/s", "mm/sec"),
    _unit("in/s", "in / s", "in/s", "in/sec ips"),
    _unit("m/s", "m / s", "m/s", "m/sec"),
    _unit("m/s2", "m / s ** 2", "m/s²", "m/s^2"),
    _unit("g", "9.80665 m / s ** 2", "g", "gn"),
    _unit("degC", "K; offset: 273.15", "°C", "°C C celsius degreesC"),
    _unit("degF", "5 / 9 K; offset: 255.37222222222223", "°F", "°F F fahrenheit degreesF"),
    _unit("K", "[temperature]", "K", "kelvin"),
    _unit("W", "[power]", "W", "watt watts"),
    _unit("kW", "1e3 W", "kW", "kilowatt kilowatts"),
    _unit("MW", "1e6 W", "MW", "megawatt megawatts"),
    _unit("hp", "550 * 0.3048 * 4.4482216152605 W", "hp", "bhp horsepower"),
    _unit("Pa", "[pressure]", "Pa", ""),
    _unit("kPa", "1e3 Pa", "kPa", "kPag kPa(g) kPa(gauge)"),
    _unit("MPa", "1e6 Pa", "MPa", "MPag MPa(g) MPa(gauge)"),
    _unit("bar", "1e5 Pa", "bar", "barg bar(g) bar(gauge) bars"),
    _unit("mbar", "100 Pa", "mbar", "mbarg mbar(g)"),
    _unit("psi", "4.4482216152605 / 0.0254 ** 2 Pa", "psi", "psig psi(g) psi(gauge) lb/in2 lbf/in2"),
    _unit("bara", "[absolute_pressure]", "bar(a)", "bar(a) bar(abs)"),
    _unit("psia", "0.06894757293168361 bara", "psi(a)", "psi(a) psi(abs)"),
    _unit("kPaa", "0.01 bara", "kPa(a)", "kPa(a) kPa(abs)"),
    _unit("A", "[current]", "A", "amp amps ampere amperes"),
    _unit("mA", "1e-3 A", "mA", "milliamp milliamps"),
    _unit("V", "[voltage]", "V", "Vdc VDC volt volts"),
    _unit("mV", "1e-3 V", "mV", "mVdc millivolt millivolts"),
    _unit("kV", "1e3 V", "kV", "kilovolt kilovolts"),
    _unit("ohm", "V / A", "Ω", "Ω ohms"),
    _unit("kohm", "1e3 ohm", "kΩ", "kΩ kohms kiloohm kiloohms"),
    _unit("mm2", "mm ** 2", "mm²", "mm^2 sqmm"),
    _unit("AWG", "[gauge_number]", "AWG", ""),
    _unit("nF", "[capacitance]", "nF", "nanofarad nanofarads"),
    _unit("pF", "1e-3 nF", "pF", "picofarad picofarads"),
    _unit("uF", "1e3 nF", "µF", "µF microfarad microfarads"),
    _unit("uH", "[inductance]", "µH", "µH microhenry"),
    _unit("mH", "1e3 uH", "mH", "millihenry"),
    _unit("uH/ohm", "uH / ohm", "µH/Ω", "µH/Ω uH/Ω µH/ohm"),
    _unit("1/h", "1 / h", "1/h", "/h h-1 h^-1"),
    _unit("FIT", "1e-9 / h", "FIT", ""),
    _unit("1/year", "1 / year", "1/year", "/year 1/yr /yr 1/a"),
    _unit("mV/um", "mV / um", "mV/µm", "mV/µm"),
    _unit("V/mm", "V / mm", "V/mm", ""),
    _unit("mV/mil", "mV / mil", "mV/mil", ""),
)
UNITS: Mapping[str, Unit] = MappingProxyType({unit.name: unit for unit in _UNITS})

_KINDS = (
    Kind("speed", "a rotational speed", ("rpm", "rad/s")),
    Kind("length", "a length", ("mm", "um", "cm", "m", "in", "mil", "ft")),
    Kind("run", "a length of cable", ("m", "mm", "cm", "ft", "in")),
    Kind(
        "vibration",
        "a peak-to-peak displacement",
        ("um", "mm", "mil", "in"),
        ("p-p", "pp", "pk-pk", "peak-to-peak", "peak to peak"),
    ),
    Kind("velocity", "an r.m.s. vibration velocity", ("mm/s", "in/s", "m/s"), ("rms", "r.m.s.", "RMS")),
    Kind("acceleration", "an acceleration", ("g", "m/s2")),
    Kind("power", "a power", ("kW", "MW", "W", "hp")),
    Kind("temperature", "a temperature", ("degC", "degF", "K")),
    Kind("time", "a time", ("h", "min", "s", "ms", "us", "day", "week", "month", "year")),
    Kind("resistance", "a resistance", ("ohm", "kohm")),
    Kind("voltage", "a voltage", ("V", "mV", "kV")),
    Kind("current", "a current", ("mA", "A")),
    Kind("area", "a conductor area", ("mm2",)),
    Kind("gauge_number", "a conductor gauge number", ("AWG",)),
    Kind("angle", "an angle", ("deg", "rad")),
    Kind("frequency", "a frequency", ("Hz", "kHz", "MHz", "cpm")),
    Kind("pressure", "a gauge pressure", ("bar", "mbar", "kPa", "MPa", "psi")),
    Kind("absolute_pressure", "an absolute pressure", ("bara", "psia", "kPaa")),
    Kind("sensitivity", "a scale factor", ("mV/um", "V/mm", "mV/mil")),
    Kind("capacitance", "a capacitance", ("nF", "pF", "uF")),
    Kind("inductance", "an inductance", ("uH", "mH")),
    Kind("inductance_ratio", "an inductance to resistance ratio", ("uH/ohm",)),
    Kind("rate", "a failure rate", ("1/h", "FIT", "1/year")),
    Kind("ratio", "a plain number", ()),
)
KINDS: Mapping[str, Kind] = MappingProxyType({kind.key: kind for kind in _KINDS})

# Spellings in which a wrong capital changes the meaning by a factor of a thousand or more, or would
# turn one unit into another: 4.1 mW is not 4.1 MW. These are taken exactly as written.
_CASE_MATTERS = frozenset({"MW", "W", "MPa", "mV", "mVdc", "MHz", "mA", "Pa", "g", "gn"})


@cache
def _registry() -> "pint.UnitRegistry[Any]":
    import pint  # started late on purpose: see the module

    # The Celsius and Fahrenheit scales are offsets of the kelvin, so they follow the base units.
    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(None, cache_folder=None)
    base_first = sorted(_UNITS, key=lambda unit: not unit.definition.startswith("["))
    registry.load_definitions(
        [f"{unit.name} = {unit.definition}" for unit in base_first if "/" not in unit.name]
    )
    return registry


# Far enough from zero that the difference of two temperatures loses no digit of the factor.
_FAR = 2.0**40


def pint_conversion(from_unit: str, to_unit: str) -> tuple[float, float]:
    """Return factor and offset of a conversion as pint computes them from the definitions above.

    Parameters
    ----------
    from_unit : str
        Name of a unit of `UNITS`.
    to_unit : str
        Name of a unit of `UNITS` that measures the same thing.

    Returns
    -------
    tuple of float
        Factor [to_unit per from_unit] and offset [to_unit].

    Raises
    ------
    UnitMismatch
        If the units measure different things.

    Notes
    -----
    A conversion within one kind is linear, so two values converted by pint fix it. Source: common practice.
    """
    registry = _registry()
    # pint parses the quotient of two units by itself, so those go in as their definition.
    source, target = (
        registry.parse_units((UNITS[name].definition if "/" in name else name).replace(" ", ""))
        for name in (from_unit, to_unit)
    )
    if not source.is_compatible_with(target):
        raise UnitMismatch(f"{from_unit} does not convert to {to_unit}: they measure different things")
    offset = float(registry.Quantity(0.0, source).to(target).magnitude)
    far = float(registry.Quantity(_FAR, source).to(target).magnitude)
    return (far - offset) / _FAR, offset


@lru_cache(maxsize=4096)
def conversion(from_unit: str, to_unit: str) -> tuple[float, float]:
    """Return factor and offset of a conversion: value in `to_unit` = factor * value + offset.

    Parameters
    ----------
    from_unit : str
        Name of a unit of `UNITS`.
    to_unit : str
        Name of a unit of `UNITS` that measures the same thing.

    Returns
    -------
    tuple of float
        Factor [to_unit per from_unit] and offset [to_unit]; the offset is 0 except between
        temperatures.

    Raises
    ------
    UnknownUnit
        If a name is not in `UNITS`.
    UnitMismatch
        If the units measure different things.

    Notes
    -----
    Every later conversion is one multiplication and one addition. Source: common practice.
    """
    for name in (from_unit, to_unit):
        if name not in UNITS:
            raise UnknownUnit(f"unit {name!r} is not known here")
    stored = CONVERSIONS.get((from_unit, to_unit))
    return stored if stored is not None else pint_conversion(from_unit, to_unit)


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """Return a value converted between two units of one kind.

    Parameters
    ----------
    value : float
        Value [from_unit]; temperatures are points of the scale, not differences.
    from_unit : str
        Name of a unit of `UNITS`.
    to_unit : str
        Name of a unit of `UNITS` of the same kind.

    Returns
    -------
    float
        Value [to_unit], not rounded.

    Raises
    ------
    UnknownUnit
        If a name is not in `UNITS`.
    UnitMismatch
        If the units measure different things; a speed never converts to a frequency.

    Examples
    --------
    >>> round(convert(2.0, "in", "mm"), 6)
    50.8
    >>> round(convert(110.0, "degC", "degF"), 6)
    230.0
    """
    if from_unit == to_unit:
        return value
    factor, offset = conversion(from_unit, to_unit)
    return value * factor + offset


def _normalised(spelling: str) -> str:
    # NFKC folds both code points of the micro sign, the ohm sign, superscripts and full-width letters.
    text = normalize("NFKC", spelling).replace("\u2212", "-").replace("\u2032\u2032", "''")
    return "".join(text.split())


def _spellings(kind: Kind) -> tuple[dict[str, str], dict[str, str]]:
    exact: dict[str, str] = {}
    folded: dict[str, str] = {}
    for name in kind.units:
        for spelling in UNITS[name].spellings:
            exact[_normalised(spelling)] = name
            if spelling not in _CASE_MATTERS:
                folded.setdefault(_normalised(spelling).casefold(), name)
    return exact, folded


_SPELLINGS: Mapping[str, tuple[dict[str, str], dict[str, str]]] = {
    kind.key: _spellings(kind) for kind in _KINDS
}


@lru_cache(maxsize=4096)
def unit_named(spelling: str, kind: str) -> str | None:
    """Return the unit that a spelling means for one kind of quantity.

    Parameters
    ----------
    spelling : str
        Unit as a person typed it, without the number; spaces inside do not matter.
    kind : str
        Key of `KINDS`.

    Returns
    -------
    str or None
        Name of a unit of `UNITS`, or None where the spelling is not a unit of this kind.

    Examples
    --------
    >>> unit_named("r / min", "speed"), unit_named("thou", "length"), unit_named("Hz", "speed")
    ('rpm', 'mil', None)
    """
    exact, folded = _SPELLINGS[kind]
    text = spelling.strip()
    for suffix in KINDS[kind].suffixes:
        if text.endswith(suffix) and text != suffix:
            text = text[: -len(suffix)]
            break
    text = _normalised(text)
    return exact.get(text) or folded.get(text.casefold())


def kinds_named(spelling: str) -> tuple[Kind, ...]:
    """Return the kinds of quantity in which a spelling is a unit, to explain a wrong one.

    Parameters
    ----------
    spelling : str
        Unit as a person typed it.

    Returns
    -------
    tuple of Kind
        In the order of `KINDS`; empty for a word that is no unit here.
    """
    return tuple(kind for kind in _KINDS if unit_named(spelling, kind.key) is not None)


def conversion_table() -> str:
    """Return the text of `unit_conversions`, every conversion within a kind as pint computes it.

    Returns
    -------
    str
        Python source.
    """
    pairs = {
        (source, target): pint_conversion(source, target)
        for kind in _KINDS
        for source in kind.units
        for target in kind.units
        if source != target
    }
    rows = "".join(f'    ("{a}", "{b}"): {result!r},\n' for (a, b), result in pairs.items())
    return (
        '"""Factors and offsets between the units of one kind, as pint computes them from `units`.\n\n'
        "Written by `python -m specapp.kernel.units`, from the definitions there; never by hand.\n"
        '"""\n\n'
        f"CONVERSIONS: dict[tuple[str, str], tuple[float, float]] = {{\n{rows}}}\n"
    )


if __name__ == "__main__":
    Path(__file__).with_name("unit_conversions.py").write_text(conversion_table(), encoding="utf-8")
