"""Units: what spellings mean, conversions, and the traps of a general units library.

Factors: the inch, foot and pound-force are exact by the international yard and pound agreement of 1959
and standard gravity by the 3rd CGPM of 1901, as NIST SP 811 (appendix B) prints them (from memory).
"""

import subprocess
import sys

import pytest

from specapp.kernel import units
from specapp.kernel.unit_conversions import CONVERSIONS
from specapp.kernel.units import KINDS, UNITS, UnitMismatch, UnknownUnit, convert, kinds_named, unit_named

# NIST SP 811, appendix B (from memory): seven digits as printed.
SP_811 = [
    (1.0, "in", "mm", 25.4),
    (1.0, "ft", "m", 0.3048),
    (1.0, "mil", "um", 25.4),
    (1.0, "hp", "W", 745.6999),
    (1.0, "psi", "kPa", 6.894757),
    (1.0, "g", "m/s2", 9.80665),
    (1.0, "rpm", "rad/s", 0.1047198),
    (212.0, "degF", "degC", 100.0),
    (0.0, "degC", "K", 273.15),
    (200.0, "mV/mil", "mV/um", 7.874016),
]


@pytest.mark.parametrize(("value", "source", "target", "expected"), SP_811)
def test_conversions_are_those_of_the_handbook(value, source, target, expected):
    assert convert(value, source, target) == pytest.approx(expected, rel=5e-7, abs=1e-9)
    assert convert(expected, target, source) == pytest.approx(value, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize(
    "pair", [("rpm", "Hz"), ("rad/s", "Hz"), ("cpm", "rpm"), ("bar", "bara"), ("mm", "s")]
)
def test_different_things_do_not_convert(pair):
    with pytest.raises(UnitMismatch, match="measure different things"):
        convert(1.0, *pair)


def test_a_unit_that_is_not_listed_is_refused():
    with pytest.raises(UnknownUnit, match="furlong"):
        convert(1.0, "furlong", "mm")
    with pytest.raises(UnknownUnit, match="kmm"):
        convert(1.0, "mm", "kmm")


def test_the_stored_conversions_are_those_of_the_library():
    """After a change of units run `python -m specapp.kernel.units` and review the difference."""
    within_kinds = {(a, b) for kind in KINDS.values() for a in kind.units for b in kind.units if a != b}
    assert set(CONVERSIONS) == within_kinds
    for pair, stored in CONVERSIONS.items():
        assert units.pint_conversion(*pair) == stored


def test_temperatures_convert_as_points_of_the_scale():
    assert convert(-40.0, "degC", "degF") == pytest.approx(-40.0)
    assert convert(130.0, "degC", "degF") == pytest.approx(266.0)


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.key)
def test_every_spelling_of_a_kind_means_its_unit(kind):
    for name in kind.units:
        for spelling in UNITS[name].spellings:
            assert unit_named(spelling, kind.key) == name


@pytest.mark.parametrize(
    ("spelling", "kind", "unit"),
    [
        ("\u00b5m", "length", "um"),
        ("\u03bcm", "length", "um"),
        ("mil", "length", "mil"),
        ("thou", "length", "mil"),
        ('"', "length", "in"),
        ("RPM", "speed", "rpm"),
        ("r / min", "speed", "rpm"),
        ("min\u207b\u00b9", "speed", "rpm"),
        ("1/min", "speed", "rpm"),
        ("um p-p", "vibration", "um"),
        ("mil pp", "vibration", "mil"),
        ("mm/s rms", "velocity", "mm/s"),
        ("ips", "velocity", "in/s"),
        ("g", "acceleration", "g"),
        ("kw", "power", "kW"),
        ("MW", "power", "MW"),
        ("mW", "power", None),
        ("mPa", "pressure", None),
        ("barg", "pressure", "bar"),
        ("psig", "pressure", "psi"),
        ("bar(a)", "pressure", None),
        ("\u2103", "temperature", "degC"),
        ("deg C", "temperature", "degC"),
        ("\u2126", "resistance", "ohm"),
        ("mm\u00b2", "area", "mm2"),
        ("cpm", "speed", None),
        ("Hz", "speed", None),
        ("rpm", "frequency", None),
        ("pp", "vibration", None),
        ("um rms", "vibration", None),
    ],
)
def test_spellings_of_the_trade(spelling, kind, unit):
    assert unit_named(spelling, kind) == unit


def test_a_wrong_unit_is_explained_by_its_kind():
    assert kinds_named("Hz")[0].label == "a frequency"
    assert kinds_named("psia")[0].label == "an absolute pressure"
    assert kinds_named("furlong") == ()


def test_ordinary_work_does_not_start_the_units_library():
    """Starting it takes a third of a second, most of the time that a command may take to answer."""
    code = "import sys; from specapp.kernel.units import convert; convert(4.1, 'MW', 'kW'); "
    code += "print('pint' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
