"""Setpoints inside the ranges of their measurements: one beyond the end never acts."""

from pathlib import Path

import pytest

from specapp.criteria.loader import Override as CriterionValue
from specapp.criteria.loader import load_defaults
from specapp.domain.overrides import Override
from specapp.domain.reading import read_machine
from specapp.rulebook.proposing import propose_description, reading_context

MACHINES = Path(__file__).parents[2] / "fixtures" / "machines"


def proposed(name, overrides=(), **criteria):
    told = {f"range.{key}": CriterionValue(value, "on trial") for key, value in criteria.items()}
    in_force = load_defaults().with_overrides(told, origin="project")
    machine = read_machine((MACHINES / f"{name}.json").read_bytes(), reading_context(in_force))
    return propose_description(machine, in_force, overrides)


def found(proposal):
    return {check.subject: check for check in proposal.checks if check.check == "range.setpoints"}


def by_hand(item, field, value):
    return Override(item, field, value, "on trial", "Nobody", "2026-11-26T00:00")


def test_a_winding_of_class_f_rise_trips_inside_its_range():
    """Class F rise: alarm 145, trip 155 degC (common practice), beyond the 150 degC of bearing metal."""
    proposal = proposed("ten_stage")
    winding = next(point for point in proposal.points if point.voting_group == "M/winding")
    assert winding.setpoints.trip.value == 155
    assert (winding.range.low.value, winding.range.high.value) == (0, 200)
    bearing = next(point for point in proposal.points if point.quantity == "bearing_temperature")
    assert bearing.range.high.value == 150
    assert found(proposal) == {}


@pytest.mark.parametrize(("high", "fails"), [(155.0, True), (155.1, False)])
def test_a_trip_at_the_end_of_its_range_fails(high, fails):
    checks = found(proposed("ten_stage", winding_temperature_high=high))
    assert list(checks) == (["M/winding"] if fails else [])
    if fails:
        check = checks["M/winding"]
        assert (check.result, check.measured.value, check.limit.value) == ("fail", 155, 155)


@pytest.mark.parametrize(("trip", "fails"), [(149.0, False), (150.0, True), (165.0, True)])
def test_what_is_set_by_hand_is_held_against_the_range_too(trip, fails):
    proposal = proposed("ten_stage")
    group = next(
        point.voting_group
        for point in proposal.points
        if point.quantity == "bearing_temperature" and point.setpoints.trip is not None
    )
    checks = found(proposed("ten_stage", [by_hand(group, "trip", trip)]))
    assert list(checks) == ([group] if fails else [])


def test_both_sides_of_an_axial_setpoint_are_held():
    proposal = proposed("eight_stage")
    axial = next(point for point in proposal.points if point.quantity == "axial_position")
    end = axial.range.high.value
    checks = found(proposed("eight_stage", [by_hand(axial.voting_group, "trip", end + 0.1)]))
    assert checks[axial.voting_group].result == "fail"
    assert f"{-end:g} to {end:g}" in checks[axial.voting_group].text


def test_every_setpoint_of_the_samples_is_in_the_unit_of_its_range():
    for name in ("ten_stage", "us_units_process", "minimal_packaged", "turbine_driven_hydrogen"):
        for point in proposed(name).points:
            for setpoint in (point.setpoints.alarm, point.setpoints.trip):
                if setpoint is not None and point.range is not None:
                    assert setpoint.unit == point.range.high.unit, (name, point.key)
