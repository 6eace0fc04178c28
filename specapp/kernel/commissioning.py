"""Checks of an installed chain: float bump test, resistance elements, loops, times of relays."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Final, Literal, NamedTuple

from specapp.kernel.arguments import finite, non_negative, one_of, positive
from specapp.kernel.errors import DomainError, OutOfRange
from specapp.kernel.loops import current_ma
from specapp.kernel.resistance_thermometers import platinum_resistance_ohm

__all__ = [
    "BumpTest",
    "ElementCheck",
    "LoopCheck",
    "RelayTime",
    "bump_test",
    "element_check",
    "loop_check",
    "platinum_temperature_c",
    "platinum_tolerance_k",
    "relay_time",
]

_A: Final = 3.9083e-3
_B: Final = -5.775e-7
# Fixed part [K] and share of the temperature, and the range of wire-wound elements [degC].
_TOLERANCES: Final = {"A": (0.15, 0.002, -100.0, 450.0), "B": (0.30, 0.005, -196.0, 600.0)}


@dataclass(frozen=True, slots=True)
class BumpTest:
    """What pushing the rotor from stop to stop shows.

    `float_mm` is the float measured, `mid_v` the voltage at mid float, `looks_toward` the direction in which
    the tip really points, `polarity_right` whether that is the direction told. `problems` are sentences.
    """

    float_mm: float
    mid_v: float
    looks_toward: Literal["active", "inactive"]
    polarity_right: bool
    passes: bool
    problems: tuple[str, ...]


class ElementCheck(NamedTuple):
    """An element against the table: expected [ohm], what it reads [degC], its error [K], the error allowed
    [K]."""

    expected_ohm: float
    temperature_c: float
    error_k: float
    allowed_k: float
    passes: bool


class LoopCheck(NamedTuple):
    """A loop against its range: expected [mA], error [mA] and [percent of span]."""

    expected_ma: float
    error_ma: float
    error_percent: float
    passes: bool


class RelayTime(NamedTuple):
    """A measured time against the time set [s]: earliest and latest that pass."""

    earliest_s: float
    latest_s: float
    passes: bool


def bump_test(
    active_stop_v: float,
    inactive_stop_v: float,
    looks_toward: Literal["active", "inactive"],
    *,
    scale_factor_v_per_mm: float = 7.87,
    expected_float_mm: float | None = None,
    tolerance_mm: float = 0.05,
) -> BumpTest:
    """Return what the gap voltages at both stops of the thrust bearing say.

    Parameters
    ----------
    active_stop_v : float
        Gap voltage with the rotor against the active thrust face [V].
    inactive_stop_v : float
        Gap voltage with the rotor against the inactive face [V], other than the first.
    looks_toward : {"active", "inactive"}
        Direction in which the tip is told to point. "active": movement toward the active face runs away from
        it and the voltage becomes more negative.
    scale_factor_v_per_mm : float
        Scale factor [V/mm], > 0.
    expected_float_mm : float or None
        Cold float by the maker [mm], > 0; None where not known.
    tolerance_mm : float
        Difference of the floats that passes [mm], >= 0.

    Returns
    -------
    BumpTest
        Measured float, mid voltage, true direction, and the problems in words.

    Raises
    ------
    DomainError
        If a number is not finite or outside its range, or both voltages are the same.

    Notes
    -----
    Source: common practice; scale factor API 670 (from memory).  Checked: tests/kernel/test_commissioning.py.

    Examples
    --------
    >>> found = bump_test(-11.38, -8.62, "active", expected_float_mm=0.35)
    >>> found.passes, round(found.float_mm, 3), round(found.mid_v, 2)
    (True, 0.351, -10.0)
    >>> bump_test(-8.62, -11.38, "active").polarity_right
    False
    """
    finite("active_stop_v", active_stop_v, "V")
    finite("inactive_stop_v", inactive_stop_v, "V")
    one_of("looks_toward", looks_toward, ("active", "inactive"))
    if active_stop_v == inactive_stop_v:
        raise DomainError("inactive_stop_v", inactive_stop_v, "other than at the active stop", "V")
    positive("scale_factor_v_per_mm", scale_factor_v_per_mm, "V/mm")
    non_negative("tolerance_mm", tolerance_mm, "mm")
    float_mm = abs(active_stop_v - inactive_stop_v) / scale_factor_v_per_mm
    found: Literal["active", "inactive"] = "active" if active_stop_v < inactive_stop_v else "inactive"
    problems = []
    if found != looks_toward:
        problems.append(
            f"The polarity is swapped: the tip points to the {found} side, {looks_toward} is told."
        )
    if expected_float_mm is not None:
        positive("expected_float_mm", expected_float_mm, "mm")
        if abs(float_mm - expected_float_mm) > tolerance_mm + 1e-12:
            problems.append(
                f"The float is {float_mm:.3f} mm, {expected_float_mm:g} mm within {tolerance_mm:g} mm are "
                f"told."
            )
    return BumpTest(
        float_mm,
        (active_stop_v + inactive_stop_v) / 2,
        found,
        found == looks_toward,
        not problems,
        tuple(problems),
    )


def platinum_temperature_c(resistance_ohm: float, at_zero_ohm: float = 100.0) -> float:
    """Return the temperature of an industrial platinum element from its resistance.

    Parameters
    ----------
    resistance_ohm : float
        Resistance without that of the leads [ohm], of -200 to 850 degC.
    at_zero_ohm : float
        Resistance at 0 degC [ohm], > 0; 100 for Pt100.

    Returns
    -------
    float
        Temperature [degC].

    Raises
    ------
    DomainError
        If an argument is not a number above 0.
    OutOfRange
        If the resistance belongs to a temperature outside -200 to 850 degC.

    Notes
    -----
    From 0 degC the quadratic solved, below by halving the interval.

    Source: IEC 60751:2008, 4.2 (published).  Checked: tests/published/test_iec_60751_elements.py.

    Examples
    --------
    >>> round(platinum_temperature_c(138.5055), 3)
    100.0
    """
    positive("resistance_ohm", resistance_ohm, "ohm")
    ratio = resistance_ohm / positive("at_zero_ohm", at_zero_ohm, "ohm")
    coldest, hottest = (platinum_resistance_ohm(each, 1.0) for each in (-200.0, 850.0))
    if not coldest <= ratio <= hottest:
        limit = f"from {coldest * at_zero_ohm:.2f} to {hottest * at_zero_ohm:.2f} ohm"
        raise OutOfRange("resistance_ohm", resistance_ohm, limit, "ohm")
    if ratio >= 1:
        return (-_A + sqrt(_A * _A - 4 * _B * (1 - ratio))) / (2 * _B)
    low, high = -200.0, 0.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if platinum_resistance_ohm(middle, 1.0) < ratio else (low, middle)
    return (low + high) / 2


def platinum_tolerance_k(temperature_c: float, tolerance_class: Literal["A", "B"] = "B") -> float:
    """Return the tolerance of a platinum element.

    Parameters
    ----------
    temperature_c : float
        Temperature [degC]; class A -100 to 450, class B -196 to 600 (wire-wound elements).
    tolerance_class : {"A", "B"}
        Class of the element.

    Returns
    -------
    float
        Deviation allowed either way [K]: 0.15 + 0.002*|t| or 0.30 + 0.005*|t|.

    Raises
    ------
    DomainError
        If the temperature is no number or the class unknown.
    OutOfRange
        If the temperature is outside the range of the class.

    Notes
    -----
    Source: IEC 60751:2008, table 3 (published in secondary copies).
    Checked: tests/published/test_iec_60751_elements.py.

    Examples
    --------
    >>> round(platinum_tolerance_k(100.0, "A"), 3), round(platinum_tolerance_k(100.0, "B"), 3)
    (0.35, 0.8)
    """
    finite("temperature_c", temperature_c, "degC")
    one_of("tolerance_class", tolerance_class, tuple(_TOLERANCES))
    fixed, share, low, high = _TOLERANCES[tolerance_class]
    if not low <= temperature_c <= high:
        raise OutOfRange("temperature_c", temperature_c, f"from {low:g} to {high:g} degC", "degC")
    return fixed + share * abs(temperature_c)


def element_check(
    resistance_ohm: float,
    reference_c: float,
    *,
    at_zero_ohm: float = 100.0,
    tolerance_class: Literal["A", "B"] = "B",
    allowed_k: float | None = None,
) -> ElementCheck:
    """Return whether an element agrees with the temperature it has.

    Parameters
    ----------
    resistance_ohm : float
        Resistance measured, leads compensated [ohm].
    reference_c : float
        Temperature by a reference thermometer [degC].
    at_zero_ohm : float
        Resistance at 0 degC [ohm], > 0.
    tolerance_class : {"A", "B"}
        Class of the element.
    allowed_k : float or None
        Error allowed instead of the class tolerance [K], > 0, with room for reference and instrument.

    Returns
    -------
    ElementCheck
        Expected resistance, temperature read, error, error allowed, pass.

    Raises
    ------
    DomainError
        If a number is outside its range.

    Notes
    -----
    Source: IEC 60751:2008 (published).  Checked: tests/published/test_iec_60751_elements.py.

    Examples
    --------
    >>> element_check(109.8, 25.0).passes, element_check(111.0, 25.0).passes
    (True, False)
    """
    expected = platinum_resistance_ohm(reference_c, at_zero_ohm)
    read = platinum_temperature_c(resistance_ohm, at_zero_ohm)
    allowed = (
        platinum_tolerance_k(reference_c, tolerance_class)
        if allowed_k is None
        else positive("allowed_k", allowed_k, "K")
    )
    error = read - reference_c
    return ElementCheck(expected, read, error, allowed, abs(error) <= allowed + 1e-12)


def loop_check(
    measured_ma: float, value: float, low: float, high: float, allowed_percent: float = 1.0
) -> LoopCheck:
    """Return whether a loop carries the current that its reading asks for.

    Parameters
    ----------
    measured_ma : float
        Current measured [mA].
    value : float
        Reading put in, in any unit.
    low : float
        Reading at 4 mA, in the unit of `value`.
    high : float
        Reading at 20 mA, other than `low`.
    allowed_percent : float
        Error allowed [percent of the span of 16 mA], > 0.

    Returns
    -------
    LoopCheck
        Expected current, error, pass.

    Raises
    ------
    DomainError
        If a number is not finite or outside its range.

    Notes
    -----
    Source: definition of the 4-20 mA signal; 1 percent common practice.

    Examples
    --------
    >>> loop_check(12.1, 50.0, 0.0, 100.0).passes, loop_check(12.2, 50.0, 0.0, 100.0).passes
    (True, False)
    """
    expected = current_ma(value, low, high)
    error = finite("measured_ma", measured_ma, "mA") - expected
    percent = 100 * error / 16
    return LoopCheck(
        expected, error, percent, abs(percent) <= positive("allowed_percent", allowed_percent) + 1e-9
    )


def relay_time(
    measured_s: float, delay_s: float, *, response_s: float = 0.1, early_s: float = 0.05
) -> RelayTime:
    """Return whether a relay has acted when it should: not before its delay, not long after.

    Parameters
    ----------
    measured_s : float
        Time from the step of the test signal to the contact [s], >= 0.
    delay_s : float
        Delay set [s], >= 0.
    response_s : float
        Response allowed beyond the delay [s], >= 0.
    early_s : float
        Resolution of the test: so much early still passes [s], >= 0.

    Returns
    -------
    RelayTime
        Earliest and latest time that pass, and whether this one does.

    Raises
    ------
    DomainError
        If a time is negative or not finite.

    Notes
    -----
    Source: common practice; 100 ms beyond the delay is what purchase specifications ask.

    Examples
    --------
    >>> relay_time(1.06, 1.0).passes, relay_time(1.2, 1.0).passes, relay_time(0.5, 1.0).passes
    (True, False, False)
    """
    non_negative("measured_s", measured_s, "s")
    earliest = max(0.0, non_negative("delay_s", delay_s, "s") - non_negative("early_s", early_s, "s"))
    latest = delay_s + non_negative("response_s", response_s, "s")
    return RelayTime(earliest, latest, earliest - 1e-9 <= measured_s <= latest + 1e-9)
