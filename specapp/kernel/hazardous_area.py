"""Judging the marking of explosion-protected equipment against an area.

Nothing here replaces the certificate: a marking says what a certificate claims, in short.
"""

from __future__ import annotations

from typing import Final

from specapp.kernel.area_classes import (
    DIVISION_GROUPS,
    LEVELS,
    ZONE_GROUPS,
    group_covers,
    temperature_class_limit_c,
    zone_group_for_division_group,
)
from specapp.kernel.arguments import finite
from specapp.kernel.errors import DomainError
from specapp.kernel.markings import BEST_LEVELS, DEFAULT_LEVELS, Marking, parse_marking

__all__ = ["Marking", "marking_notes", "marking_problems", "parse_marking"]

_AREA_LEVELS: Final = (*LEVELS, "Division 1", "Division 2")
_ORDINARY_AMBIENT_C: Final = (-20.0, 40.0)


def _level_reasons(marking: Marking, level: str) -> list[str]:
    """Weigh the level asked against the level stated, the protections, the category and the zone."""
    if level.startswith("Division"):
        return _division_reasons(marking, level)
    if marking.level is not None and marking.level.startswith("Division"):
        return [f"a marking of the division system does not show that the equipment serves level {level}"]
    if not marking.protections:
        return [
            "associated apparatus (all in brackets) belongs in the safe area or in an enclosure of its own"
        ]
    reasons = []
    asked = LEVELS.index(level)
    stated = None if marking.level is None else [LEVELS.index(part) for part in marking.level.split("/")]
    if stated is None:
        unknown = [each for each in marking.protections if each not in DEFAULT_LEVELS]
        if unknown:
            return [f"no level is stated, and protection {' '.join(unknown)} has none by itself"]
        weakest = max(marking.protections, key=lambda each: LEVELS.index(DEFAULT_LEVELS[each]))
        if LEVELS.index(DEFAULT_LEVELS[weakest]) > asked:
            reasons.append(f"protection {weakest} gives level {DEFAULT_LEVELS[weakest]}; {level} is needed")
    else:
        if max(stated) > asked:
            reasons.append(f"level {marking.level} is marked; {level} is needed")
        best = [LEVELS.index(BEST_LEVELS[each]) for each in marking.protections]
        # In a boundary device each side answers for its own protection.
        claims = sorted(stated) if marking.boundary and len(stated) == 2 else [min(stated)] * len(best)
        held = sorted(best) if marking.boundary else best
        for have, claim in zip(held, claims, strict=False):
            if have > claim:
                name = marking.protections[best.index(have)]
                reasons.append(
                    f"level {LEVELS[claim]} is marked, but protection {name} gives {LEVELS[have]} at best"
                )
                break
    if marking.category is not None and max(int(part) for part in marking.category.split("/")) - 1 > asked:
        reasons.append(f"category {marking.category}G is marked; level {level} is needed")
    if marking.zone is not None and marking.zone > asked:
        reasons.append(f"zone {marking.zone} is marked; level {level} is needed")
    return reasons


def _division_reasons(marking: Marking, level: str) -> list[str]:
    """Weigh a marking against a division, by the NEC articles 500 to 505 (from memory)."""
    if marking.level is not None and marking.level.startswith("Division"):
        return [f"{marking.level} is marked; {level} is needed"] if marking.level > level else []
    if not marking.protections:
        return [
            "associated apparatus (all in brackets) belongs in the safe area or in an enclosure of its own"
        ]
    if not marking.listed:
        return ["a marking without AEx is no listing for a division"]
    if level == "Division 2":
        return _level_reasons(marking, "Gc")
    if set(marking.protections) != {"ia"}:
        return ["of zone equipment only ia serves in division 1"]
    return _level_reasons(marking, "Ga")


def _group_reasons(marking: Marking, gas_group: str) -> list[str]:
    in_divisions = marking.level is not None and marking.level.startswith("Division")
    needed = gas_group
    if gas_group in DIVISION_GROUPS and not in_divisions:
        needed = zone_group_for_division_group(gas_group)
    if in_divisions and gas_group not in DIVISION_GROUPS:
        return [f"groups {marking.group} of the division system are marked; {gas_group} is needed"]
    if not group_covers(marking.group, needed):
        return [f"group {marking.group} is marked; {needed} is needed"]
    return []


def _temperature_reasons(
    marking: Marking, ignition_temperature_c: float | None, temperature_class: str | None
) -> list[str]:
    if ignition_temperature_c is None and temperature_class is None:
        return []
    if marking.temperature_class is None:
        return ["no temperature class is marked"] if marking.protections or marking.level else []
    reasons = []
    hottest_c = temperature_class_limit_c(marking.temperature_class, "division")
    if temperature_class is not None:
        allowed_c = temperature_class_limit_c(temperature_class, "division")
        if hottest_c > allowed_c:
            reasons.append(
                f"temperature class {marking.temperature_class} ({hottest_c:g} degC) is marked; "
                f"{temperature_class} ({allowed_c:g} degC) is needed"
            )
    if ignition_temperature_c is not None:
        ignition_c = finite("ignition_temperature_c", ignition_temperature_c, "degC")
        if hottest_c >= ignition_c:
            reasons.append(
                f"temperature class {marking.temperature_class} permits {hottest_c:g} degC, "
                f"not below the ignition temperature of {ignition_c:g} degC"
            )
    return reasons


def _ambient_reasons(marking: Marking, ambient_c: float | tuple[float, float] | None) -> list[str]:
    if ambient_c is None:
        return []
    low, high = _ORDINARY_AMBIENT_C
    said = "no ambient range is marked, so -20 to 40 degC holds"
    if marking.ambient_minimum_c is not None and marking.ambient_maximum_c is not None:
        low, high = marking.ambient_minimum_c, marking.ambient_maximum_c
        said = f"ambient {low:g} to {high:g} degC is marked"
    asked = tuple(ambient_c) if isinstance(ambient_c, (tuple, list)) else (ambient_c,)
    outside = [each for each in asked if not low <= finite("ambient_c", each, "degC") <= high]
    return [f"{said}; the site has {each:g} degC" for each in outside]


def marking_problems(
    text: str | None,
    *,
    level: str,
    gas_group: str,
    ignition_temperature_c: float | None = None,
    temperature_class: str | None = None,
    ambient_c: float | tuple[float, float] | None = None,
) -> list[str]:
    """Return every reason why a marking does not suit an area.

    Parameters
    ----------
    text : str or None
        The marking, whatever was entered.
    level : str
        Equipment protection level asked: "Ga", "Gb" or "Gc"; in the division system "Division 1" or
        "Division 2".
    gas_group : str
        Gas group of the area: "IIA", "IIB", "IIB+H2" or "IIC"; "A" to "D" in the division system.
    ignition_temperature_c : float or None
        Ignition temperature of the gas [degC]; the limit of the marked class must be strictly below it.
    temperature_class : str or None
        Temperature class of the area; the marked one must be at least as severe.
    ambient_c : float, pair of float or None
        Ambient temperature of the site [degC], or its lowest and highest value.

    Returns
    -------
    list of str
        Reasons, empty when the marking suits. Special conditions (X) are no reason; `marking_notes` tells
        them.

    Notes
    -----
    Never raises: what cannot be understood, in the marking or in what is asked, is a reason.

    Source: IEC 60079-14, tables 1 and 2, 5.6.2, 5.6.3 (from memory); NEC 501.5 and 505.20 (from memory).
    Checked: tests/published/test_ex_training_questions.py.

    Examples
    --------
    >>> marking_problems("Ex ia IIC T4 Ga", level="Gb", gas_group="IIC", ignition_temperature_c=560.0)
    []
    >>> marking_problems("Ex db IIB T4 Gb", level="Gb", gas_group="IIC")
    ['group IIB is marked; IIC is needed']
    """
    try:
        marking = parse_marking(text)  # type: ignore[arg-type]
    except DomainError as error:
        return [str(error)]
    reasons = []
    if level not in _AREA_LEVELS:
        reasons.append(f"level {level!r} of the area is not one of {', '.join(_AREA_LEVELS)}")
    else:
        reasons += _level_reasons(marking, level)
    if gas_group not in (*ZONE_GROUPS, "IIB+H2", *DIVISION_GROUPS):
        reasons.append(f"gas group {gas_group!r} of the area is not known")
    else:
        reasons += _group_reasons(marking, gas_group)
    try:
        reasons += _temperature_reasons(marking, ignition_temperature_c, temperature_class)
    except DomainError as error:
        reasons.append(str(error))
    try:
        reasons += _ambient_reasons(marking, ambient_c)
    except DomainError as error:
        reasons.append(str(error))
    if marking.component:
        reasons.append("U marks a component, which is no equipment by itself")
    return reasons


def marking_notes(text: str | None) -> list[str]:
    """Return what a marking asks its reader to look up, though it is no reason to refuse it.

    Parameters
    ----------
    text : str or None
        The marking, whatever was entered.

    Returns
    -------
    list of str
        Notes, empty when there are none or the marking is not understood.

    Notes
    -----
    Source: IEC 60079-0:2017, clause 29 (from memory).

    Examples
    --------
    >>> marking_notes("Ex ia IIC T4 Ga X")
    ['X marks special conditions of use: read the certificate']
    """
    try:
        marking = parse_marking(text)  # type: ignore[arg-type]
    except DomainError:
        return []
    notes = []
    if marking.special_conditions:
        notes.append("X marks special conditions of use: read the certificate")
    if marking.associated and marking.protections:
        notes.append(f"terminals in brackets ({' '.join(marking.associated)}) serve equipment elsewhere")
    return notes
