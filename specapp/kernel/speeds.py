"""Speeds of a gear train, the frequencies they cause, and the pulses of a phase or speed sensor.

Only this module crosses between rotational speed [rpm] and frequency [Hz].
"""

from __future__ import annotations

from math import ceil, gcd, lcm, pi

from specapp.kernel.arguments import non_negative, positive, whole
from specapp.kernel.errors import DomainError

__all__ = [
    "assembly_phase_frequency_hz",
    "assembly_phases",
    "blade_pass_frequency_hz",
    "gear_mesh_frequency_hz",
    "overspeed_events_per_turn",
    "pinion_speed_rpm",
    "pulse_rate_hz",
    "pulse_width_us",
    "rotation_frequency_hz",
    "shaft_surface_speed_m_s",
    "speed_disagreement",
    "tooth_repeat_frequency_hz",
]

# Rounding up must not turn 14.000000000000002 into 15.
_SNAP = 1e-9


def pinion_speed_rpm(bull_gear_speed_rpm: float, bull_gear_teeth: int, pinion_teeth: int) -> float:
    """Return the speed of a pinion from the bull gear and the numbers of teeth.

    Parameters
    ----------
    bull_gear_speed_rpm : float
        Speed of the bull gear [rpm], >= 0.
    bull_gear_teeth : int
        Teeth of the bull gear, >= 1.
    pinion_teeth : int
        Teeth of the pinion, >= 1.

    Returns
    -------
    float
        Speed of the pinion [rpm], no sense of rotation.

    Raises
    ------
    DomainError
        If the speed is negative or a number of teeth is not a whole number above 0.

    Notes
    -----
    Source: kinematics of a gear pair (common practice).

    Examples
    --------
    >>> pinion_speed_rpm(1800.0, 150, 20)
    13500.0
    """
    non_negative("bull_gear_speed_rpm", bull_gear_speed_rpm, "rpm")
    return (
        bull_gear_speed_rpm * whole("bull_gear_teeth", bull_gear_teeth) / whole("pinion_teeth", pinion_teeth)
    )


def speed_disagreement(given_speed_rpm: float, expected_speed_rpm: float) -> float:
    """Return how far a given speed is from the expected one, as a fraction of the expected one.

    Parameters
    ----------
    given_speed_rpm : float
        Speed that was stated [rpm], > 0.
    expected_speed_rpm : float
        Speed that follows from other facts [rpm], > 0.

    Returns
    -------
    float
        |given - expected| / expected, 0 when they agree.

    Raises
    ------
    DomainError
        If a speed is not above 0.

    Notes
    -----
    Source: arithmetic.

    Examples
    --------
    >>> speed_disagreement(1010.0, 1000.0)
    0.01
    """
    positive("given_speed_rpm", given_speed_rpm, "rpm")
    positive("expected_speed_rpm", expected_speed_rpm, "rpm")
    return abs(given_speed_rpm - expected_speed_rpm) / expected_speed_rpm


def rotation_frequency_hz(speed_rpm: float) -> float:
    """Return the rotation frequency (1X) of a shaft.

    Parameters
    ----------
    speed_rpm : float
        Shaft speed [rpm], >= 0.

    Returns
    -------
    float
        Rotation frequency [Hz].

    Raises
    ------
    DomainError
        If the speed is negative.

    Notes
    -----
    Source: definition.  Checked: tests/published/test_shen_smith_2021.py.

    Examples
    --------
    >>> rotation_frequency_hz(18_000.0)
    300.0
    """
    return non_negative("speed_rpm", speed_rpm, "rpm") / 60


def gear_mesh_frequency_hz(speed_rpm: float, teeth: int) -> float:
    """Return the frequency at which teeth of one wheel pass the mesh.

    Parameters
    ----------
    speed_rpm : float
        Speed of the wheel [rpm], >= 0.
    teeth : int
        Teeth of that same wheel, >= 1.

    Returns
    -------
    float
        Mesh frequency [Hz]; the same for every pinion on one bull gear.

    Raises
    ------
    DomainError
        If the speed is negative or `teeth` is not a whole number above 0.

    Notes
    -----
    Source: W. Foiles, gear frequencies by the Euclidean algorithm.
    Checked: tests/published/test_foiles_gear_frequencies.py.

    Examples
    --------
    >>> gear_mesh_frequency_hz(1800.0, 23)
    690.0
    """
    return whole("teeth", teeth) * non_negative("speed_rpm", speed_rpm, "rpm") / 60


def assembly_phases(bull_gear_teeth: int, pinion_teeth: int) -> int:
    """Return in how many distinct ways the two wheels can be put into mesh.

    Parameters
    ----------
    bull_gear_teeth : int
        Teeth of the bull gear, >= 1.
    pinion_teeth : int
        Teeth of the pinion, >= 1.

    Returns
    -------
    int
        Greatest common divisor of the two; 1 is a hunting pair, in which every tooth meets every other.

    Raises
    ------
    DomainError
        If a number of teeth is not a whole number above 0.

    Notes
    -----
    Source: W. Foiles, gear frequencies by the Euclidean algorithm.
    Checked: tests/published/test_foiles_gear_frequencies.py.

    Examples
    --------
    >>> assembly_phases(42, 8)
    2
    """
    return gcd(whole("bull_gear_teeth", bull_gear_teeth), whole("pinion_teeth", pinion_teeth))


def assembly_phase_frequency_hz(mesh_frequency_hz: float, bull_gear_teeth: int, pinion_teeth: int) -> float:
    """Return the frequency of the wear pattern that repeats within the tooth repeat.

    Parameters
    ----------
    mesh_frequency_hz : float
        Mesh frequency [Hz], >= 0.
    bull_gear_teeth : int
        Teeth of the bull gear, >= 1.
    pinion_teeth : int
        Teeth of the pinion, >= 1.

    Returns
    -------
    float
        Mesh frequency over the number of assembly phases [Hz]; the mesh frequency for a hunting pair.

    Raises
    ------
    DomainError
        If the frequency is negative or a number of teeth is not a whole number above 0.

    Notes
    -----
    Source: W. Foiles, gear frequencies by the Euclidean algorithm.
    Checked: tests/published/test_foiles_gear_frequencies.py.

    Examples
    --------
    >>> assembly_phase_frequency_hz(160.0, 42, 8)
    80.0
    """
    non_negative("mesh_frequency_hz", mesh_frequency_hz, "Hz")
    return mesh_frequency_hz / assembly_phases(bull_gear_teeth, pinion_teeth)


def tooth_repeat_frequency_hz(mesh_frequency_hz: float, bull_gear_teeth: int, pinion_teeth: int) -> float:
    """Return how often the same two teeth meet.

    Parameters
    ----------
    mesh_frequency_hz : float
        Mesh frequency [Hz], >= 0.
    bull_gear_teeth : int
        Teeth of the bull gear, >= 1.
    pinion_teeth : int
        Teeth of the pinion, >= 1.

    Returns
    -------
    float
        Tooth repeat frequency [Hz], the mesh frequency over the least common multiple of the teeth.

    Raises
    ------
    DomainError
        If the frequency is negative or a number of teeth is not a whole number above 0.

    Notes
    -----
    Source: W. Foiles, gear frequencies by the Euclidean algorithm.
    Checked: tests/published/test_foiles_gear_frequencies.py.

    Examples
    --------
    >>> round(tooth_repeat_frequency_hz(160.0, 42, 8), 4)
    0.9524
    """
    non_negative("mesh_frequency_hz", mesh_frequency_hz, "Hz")
    return mesh_frequency_hz / lcm(
        whole("bull_gear_teeth", bull_gear_teeth), whole("pinion_teeth", pinion_teeth)
    )


def blade_pass_frequency_hz(speed_rpm: float, blades: int) -> float:
    """Return the frequency at which blades (or, seen from the wheel, vanes) pass a fixed point.

    Parameters
    ----------
    speed_rpm : float
        Shaft speed [rpm], >= 0.
    blades : int
        Blades of the impeller or vanes of the diffuser, >= 1.

    Returns
    -------
    float
        Passing frequency [Hz].

    Raises
    ------
    DomainError
        If the speed is negative or `blades` is not a whole number above 0.

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> blade_pass_frequency_hz(18_000.0, 17)
    5100.0
    """
    return whole("blades", blades) * non_negative("speed_rpm", speed_rpm, "rpm") / 60


def shaft_surface_speed_m_s(speed_rpm: float, diameter_mm: float) -> float:
    """Return the speed of a shaft surface, which shows a mistyped diameter at once.

    Parameters
    ----------
    speed_rpm : float
        Shaft speed [rpm], >= 0.
    diameter_mm : float
        Shaft diameter [mm], > 0.

    Returns
    -------
    float
        Surface speed [m/s].

    Raises
    ------
    DomainError
        If the speed is negative or the diameter not above 0.

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> round(shaft_surface_speed_m_s(20_000.0, 60.0), 2)
    62.83
    """
    non_negative("speed_rpm", speed_rpm, "rpm")
    return pi * positive("diameter_mm", diameter_mm, "mm") / 1000 * speed_rpm / 60


def pulse_rate_hz(speed_rpm: float, events_per_turn: int) -> float:
    """Return the pulse rate of a phase or speed sensor, to hold against the limit of its input.

    Parameters
    ----------
    speed_rpm : float
        Shaft speed [rpm], >= 0.
    events_per_turn : int
        Notches or teeth a turn, >= 1.

    Returns
    -------
    float
        Pulses a second [Hz].

    Raises
    ------
    DomainError
        If the speed is negative or the events are not a whole number above 0.

    Notes
    -----
    Source: definition.  Checked: tests/published/test_api_670_overspeed.py.

    Examples
    --------
    >>> pulse_rate_hz(3000.0, 6)
    300.0
    """
    return whole("events_per_turn", events_per_turn) * non_negative("speed_rpm", speed_rpm, "rpm") / 60


def pulse_width_us(speed_rpm: float, shaft_diameter_mm: float, notch_width_mm: float) -> float:
    """Return how long a notch stays under the probe, to hold against the shortest pulse an input sees.

    Parameters
    ----------
    speed_rpm : float
        Shaft speed [rpm], > 0.
    shaft_diameter_mm : float
        Diameter at the notch [mm], > 0.
    notch_width_mm : float
        Width along the circumference [mm], > 0, less than the circumference.

    Returns
    -------
    float
        Time [us].

    Raises
    ------
    DomainError
        If an argument is not above 0 or the notch is wider than the circumference.

    Notes
    -----
    The tip has a diameter of its own, so the real pulse has slopes; this is its width at half height.

    Source: definition.

    Examples
    --------
    >>> round(pulse_width_us(40_000.0, 60.0, 12.0), 1)
    95.5
    """
    circumference_mm = pi * positive("shaft_diameter_mm", shaft_diameter_mm, "mm")
    if positive("notch_width_mm", notch_width_mm, "mm") >= circumference_mm:
        raise DomainError(
            "notch_width_mm", notch_width_mm, f"less than the circumference, {circumference_mm:.4g} mm", "mm"
        )
    return notch_width_mm / (circumference_mm * positive("speed_rpm", speed_rpm, "rpm") / 60) * 1e6


def overspeed_events_per_turn(speed_rpm: float, minimum_hz: float = 300.0) -> int:
    """Return how many events a turn an overspeed sensor needs to be answered in time.

    Parameters
    ----------
    speed_rpm : float
        Rated speed of the shaft [rpm], > 0.
    minimum_hz : float
        Least pulse rate at that speed [Hz], > 0.

    Returns
    -------
    int
        Events a turn, rounded up, at least 1.

    Raises
    ------
    DomainError
        If an argument is not above 0.

    Notes
    -----
    Source: API 670, 4th edition, 5.4.8.4.  Checked: tests/published/test_api_670_overspeed.py.

    Examples
    --------
    >>> [overspeed_events_per_turn(speed) for speed in (3000.0, 1500.0, 18_000.0, 2900.0)]
    [6, 12, 1, 7]
    """
    events = positive("minimum_hz", minimum_hz, "Hz") * 60 / positive("speed_rpm", speed_rpm, "rpm")
    return ceil(events * (1 - _SNAP))
