"""Criteria that only make sense in order: an override may move either, but not past the other."""

from __future__ import annotations

from specapp.criteria.criteria_set import CriteriaSet
from specapp.domain.problems import Problem, shown

# The first must stay below the second. Radial pairs are kept apart by radial.minimum_separation instead.
BELOW = (
    ("temperature.journal_alarm", "temperature.journal_trip"),
    ("temperature.journal_alarm", "temperature.babbitt_limit"),
    ("temperature.thrust_alarm", "temperature.thrust_trip"),
    ("temperature.thrust_alarm", "temperature.babbitt_limit"),
    ("temperature.motor_bearing_alarm", "temperature.motor_bearing_trip"),
    ("temperature.winding_b_alarm", "temperature.winding_b_trip"),
    ("temperature.winding_f_alarm", "temperature.winding_f_trip"),
    ("process_protection.oil_temperature_alarm", "process_protection.oil_temperature_trip"),
    ("process_protection.oil_pressure_trip", "process_protection.oil_pressure_alarm"),
)


def out_of_order(criteria: CriteriaSet) -> list[Problem]:
    """Return a problem for every overridden criterion that has passed its partner."""
    problems = []
    for low_key, high_key in BELOW:
        low, high = criteria.get(low_key), criteria.get(high_key)
        if low.value < high.value or (low.override is None and high.override is None):
            continue
        moved, other, side = (low, high, "below") if low.override is not None else (high, low, "above")
        allowed = f"{side} {other.key}, {other.value:g} {other.unit}"
        problems.append(Problem(f'criteria["{moved.key}"].value', shown(moved.value), allowed))
    return problems
