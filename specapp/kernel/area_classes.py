"""Gas groups, temperature classes and equipment protection levels: their order and what covers what."""

from __future__ import annotations

import re
from typing import Final, Literal

from specapp.kernel.arguments import finite, one_of
from specapp.kernel.errors import DomainError, OutOfRange

__all__ = [
    "DIVISION_GROUPS",
    "LEVELS",
    "ZONE_GROUPS",
    "group_covers",
    "is_level_at_least",
    "level_for_zone",
    "required_temperature_class",
    "temperature_class_limit_c",
    "zone_group_for_division_group",
]

System = Literal["zone", "division"]

# Most protective first.
LEVELS: Final = ("Ga", "Gb", "Gc")
# Mildest gas first.
ZONE_GROUPS: Final = ("IIA", "IIB", "IIC")
DIVISION_GROUPS: Final = ("D", "C", "B", "A")

_ZONE_LIMITS_C: Final = {"T1": 450, "T2": 300, "T3": 200, "T4": 135, "T5": 100, "T6": 85}
_DIVISION_LIMITS_C: Final = {
    "T1": 450,
    "T2": 300,
    "T2A": 280,
    "T2B": 260,
    "T2C": 230,
    "T2D": 215,
    "T3": 200,
    "T3A": 180,
    "T3B": 165,
    "T3C": 160,
    "T4": 135,
    "T4A": 120,
    "T5": 100,
    "T6": 85,
}
_EXPLICIT: Final = re.compile(r"T(\d{2,3})°C", re.ASCII)
_DIVISION_TO_ZONE: Final = {"A": "IIC", "B": "IIC", "C": "IIB", "D": "IIA"}


def temperature_class_limit_c(temperature_class: str, system: System = "zone") -> float:
    """Return the highest surface temperature that a temperature class permits.

    Parameters
    ----------
    temperature_class : str
        "T1" to "T6"; in the division system also "T2A" to "T2D", "T3A" to "T3C" and "T4A"; or an explicit
        temperature such as "T130°C".
    system : {"zone", "division"}
        System of area classification.

    Returns
    -------
    float
        Temperature [degC].

    Raises
    ------
    DomainError
        If the class does not exist in that system.

    Notes
    -----
    Source: IEC 60079-0 (published); NEC table 500.8(C) (from memory).
    Checked: tests/published/test_ex_training_questions.py.

    Examples
    --------
    >>> temperature_class_limit_c("T4"), temperature_class_limit_c("T130°C")
    (135, 130.0)
    """
    one_of("system", system, ("zone", "division"))
    limits = _ZONE_LIMITS_C if system == "zone" else _DIVISION_LIMITS_C
    if isinstance(temperature_class, str):
        if temperature_class in limits:
            return limits[temperature_class]
        if found := _EXPLICIT.fullmatch(temperature_class):
            return float(found[1])
    raise DomainError("temperature_class", temperature_class, "one of " + ", ".join(limits))


def required_temperature_class(ignition_temperature_c: float, system: System = "zone") -> str:
    """Return the mildest temperature class that stays below an ignition temperature.

    Parameters
    ----------
    ignition_temperature_c : float
        Ignition temperature of the gas [degC], above 85.
    system : {"zone", "division"}
        System of area classification; the division system has finer steps.

    Returns
    -------
    str
        Temperature class; its limit is strictly below the ignition temperature.

    Raises
    ------
    DomainError
        If the temperature is not a finite number or the system unknown.
    OutOfRange
        If even T6 is too hot.

    Notes
    -----
    Source: IEC 60079-14, 5.6.3 (from memory).  Checked: tests/published/test_ex_training_questions.py.

    Examples
    --------
    >>> required_temperature_class(450.0), required_temperature_class(450.1)
    ('T2', 'T1')
    >>> required_temperature_class(288.0), required_temperature_class(288.0, "division")
    ('T3', 'T2A')
    """
    one_of("system", system, ("zone", "division"))
    finite("ignition_temperature_c", ignition_temperature_c, "degC")
    limits = _ZONE_LIMITS_C if system == "zone" else _DIVISION_LIMITS_C
    for temperature_class, limit_c in limits.items():
        if limit_c < ignition_temperature_c:
            return temperature_class
    raise OutOfRange(
        "ignition_temperature_c", ignition_temperature_c, "above 85 degC, the limit of T6", "degC"
    )


def level_for_zone(zone: int) -> str:
    """Return the equipment protection level that a zone asks for where the owner has set none by risk.

    Parameters
    ----------
    zone : int
        0, 1 or 2.

    Returns
    -------
    str
        "Ga", "Gb" or "Gc".

    Raises
    ------
    DomainError
        If the zone is none of those.

    Notes
    -----
    Source: IEC 60079-14, table 1 (from memory).

    Examples
    --------
    >>> [level_for_zone(zone) for zone in (0, 1, 2)]
    ['Ga', 'Gb', 'Gc']
    """
    one_of("zone", zone, (0, 1, 2))
    return LEVELS[int(zone)]


def is_level_at_least(level: str, required: str) -> bool:
    """Tell whether an equipment protection level is at least as protective as another.

    Parameters
    ----------
    level : str
        "Ga", "Gb" or "Gc".
    required : str
        "Ga", "Gb" or "Gc".

    Returns
    -------
    bool
        True when `level` serves where `required` is asked.

    Raises
    ------
    DomainError
        If a level is none of those.

    Notes
    -----
    Source: IEC 60079-0 (from memory).

    Examples
    --------
    >>> is_level_at_least("Ga", "Gb"), is_level_at_least("Gc", "Gb")
    (True, False)
    """
    one_of("level", level, LEVELS)
    one_of("required", required, LEVELS)
    return LEVELS.index(level) <= LEVELS.index(required)


def group_covers(marked_group: str, gas_group: str) -> bool:
    """Tell whether equipment marked for one gas group may be used with a gas of another.

    Parameters
    ----------
    marked_group : str
        "I", "II", "IIA", "IIB", "IIC", one of the last three with a single gas ("IIB+H2"), or the letters of
        the division system it is marked for ("A B C D").
    gas_group : str
        "IIA", "IIB", "IIB+H2", "IIC", or one letter from "A" to "D".

    Returns
    -------
    bool
        True when it covers. II without a letter covers all of IIA to IIC; I (mines) none of them; the letters
        of the division system do not include each other.

    Raises
    ------
    DomainError
        If `gas_group` is none of those.

    Notes
    -----
    Source: IEC 60079-14, 5.6.2 (from memory).  Checked: tests/published/test_ex_training_questions.py.

    Examples
    --------
    >>> group_covers("IIC", "IIB"), group_covers("IIB", "IIC"), group_covers("IIB+H2", "IIB")
    (True, False, True)
    """
    one_of("gas_group", gas_group, (*ZONE_GROUPS, "IIB+H2", *DIVISION_GROUPS))
    if gas_group in DIVISION_GROUPS:
        return gas_group in marked_group.split()
    if marked_group in ("II", "IIC", gas_group):
        return True
    marked = marked_group.partition("+")[0]
    if marked not in ZONE_GROUPS or gas_group == "IIB+H2":
        return False
    return ZONE_GROUPS.index(marked) >= ZONE_GROUPS.index(gas_group)


def zone_group_for_division_group(division_group: str) -> str:
    """Return the gas group of the zone system that is at least as severe as a letter of the division system.

    Parameters
    ----------
    division_group : str
        "A", "B", "C" or "D".

    Returns
    -------
    str
        "IIC" for A and B, "IIB" for C, "IIA" for D.

    Raises
    ------
    DomainError
        If the letter is none of those.

    Notes
    -----
    Source: IEC 60079-20-1 and NEC representative gases (from memory).

    Examples
    --------
    >>> [zone_group_for_division_group(letter) for letter in "ABCD"]
    ['IIC', 'IIC', 'IIB', 'IIA']
    """
    one_of("division_group", division_group, DIVISION_GROUPS)
    return _DIVISION_TO_ZONE[division_group]
