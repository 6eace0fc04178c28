"""What would turn it: every turning point is held against proposals just before and just beyond it."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from specapp.domain.machine import MachineDescription
from specapp.rulebook.kinds import kinds_of
from specapp.rulebook.proposing import propose_description
from specapp.rulebook.turning_points import (
    TurningPoint,
    TurningPoints,
    roundest,
    search_turning_points,
    turning_points,
)
from tests.generated_machines import machines
from tests.rulebook.failure_samples import told_devices
from tests.rulebook.moved import CRITERIA, moved, read, sample
from tests.rulebook.proposed import MINIMAL

CONDUCTOR = "installation.conductor"
FEW = settings(max_examples=5, deadline=None, suppress_health_check=list(HealthCheck))


def _of(machine: MachineDescription, path: str, direction: str) -> TurningPoint | None:
    found = turning_points(machine, CRITERIA).points
    return next((point for point in found if (point.path, point.direction) == (path, direction)), None)


@pytest.fixture(scope="module")
def eight_stages() -> TurningPoints:
    return turning_points(read(sample("eight_stage")), CRITERIA)


def _one_pinion(**facts: Any) -> MachineDescription:
    return read({**MINIMAL, "pinions": [{**MINIMAL["pinions"][0], **facts}]})


@FEW
@given(machines())
def test_proposals_just_before_and_just_beyond_confirm_what_is_found(document: dict[str, Any]) -> None:
    machine = read(document)
    found = [point for point in turning_points(machine, CRITERIA).points if point.path != CONDUCTOR]
    for point in found[:: max(1, len(found) // 12)]:
        here, same, other = (
            moved(machine, point.path, value) for value in (point.now, point.same_at, point.different_at)
        )
        assert None not in (here, same, other), point.text
        kinds = [kinds_of(propose_description(each, CRITERIA)) for each in (here, same, other)]
        assert kinds[0] == kinds[1], point.text
        assert kinds[1] != kinds[2], point.text
        assert point.turns
        assert point.turns_at in (point.same_at, point.different_at)
        assert (point.turns_at - point.now) * (1 if point.direction == "above" else -1) >= 0


def test_a_pinion_of_18200_rpm_turns_where_the_clearance_begins_to_govern() -> None:
    # A = 25.4 sqrt(12000/18200) = 20.624 um; the alarm 1.5 A equals 0.4 Cd at Cd = 77.34 um.
    point = _of(_one_pinion(diametral_clearance="0.09 mm"), "pinions[0].diametral_clearance", "below")
    assert point is not None
    assert point.turns_at == pytest.approx(1.5 * 25.4 * (12000 / 18200) ** 0.5 / 0.4 / 1000, rel=0.001)
    assert point.turns[0].after == "radial.alarm_clearance, proposed"
    assert point.text.startswith("The diametral clearance of P1 at 0.0773 mm and below, now 0.09 mm: ")


def test_a_limit_that_is_itself_allowed_is_found_exactly(eight_stages: TurningPoints) -> None:
    (above,) = [
        point
        for point in eight_stages.points
        if (point.path, point.direction) == ("installation.cable_run", "above")
    ]
    assert (above.turns_at, above.same_at) == (150.0, 150.0)


def test_a_check_that_cautions_names_the_value_that_would_pass() -> None:
    machine = _one_pinion(probe_side_clearance="6 mm", journal_diameter="80 mm")
    passing = turning_points(machine, CRITERIA).passing
    (found,) = [each for each in passing if each.check == "probe.side_clearance"]
    assert (found.path, found.direction, found.value) == ("pinions[0].probe_side_clearance", "above", 8.0)
    assert set(found.subjects) == {"P1/P1-1/radial", "P1/P1-2/radial"}
    for value, result in ((found.not_yet_at, "caution"), (found.passes_at, "pass")):
        changed = moved(machine, found.path, value)
        assert changed is not None
        checks = propose_description(changed, CRITERIA).checks
        assert {c.result for c in checks if c.check == "probe.side_clearance"} == {result}


def test_a_value_that_was_assumed_is_moved_too() -> None:
    # Half the babbitt governs the allowance until it reaches the cap of 0.5 mm.
    point = _of(_one_pinion(), "bull_gear.babbitt", "above")
    assert point is not None
    assert (point.assumed, point.now) == (True, 0.76)
    assert point.turns_at == pytest.approx(1.0, rel=0.001)


def test_teeth_turn_at_a_whole_number() -> None:
    document = {**MINIMAL, "bull_gear": {"speed": "1490 rpm", "teeth": 300}, "pinions": [{"teeth": 30}]}
    for point in turning_points(read(document), CRITERIA).points:
        if point.path.endswith("teeth"):
            assert point.turns_at == int(point.turns_at)
            assert abs(point.different_at - point.same_at) == 1


def test_nothing_is_looked_for_beyond_what_a_description_may_say(eight_stages: TurningPoints) -> None:
    machine = read(sample("eight_stage"))
    for point in eight_stages.points:
        assert moved(machine, point.path, point.different_at) is not None, point.text


def test_nearest_first_and_every_input_is_reported() -> None:
    steps = []
    found = turning_points(_one_pinion(diametral_clearance="0.09 mm"), CRITERIA, progress=steps.append)
    distances = [point.distance for point in found.points]
    assert distances == sorted(distances)
    assert [step.done for step in steps] == list(range(1, found.inputs + 1))
    assert sum(len(step.found) for step in steps) == len(found.points)


def test_a_search_can_be_given_up() -> None:
    search = search_turning_points(read(sample("eight_stage")), CRITERIA)
    first = next(search)
    assert (first.done, first.total > 50) == (1, True)
    search.close()
    assert list(search) == []


@pytest.mark.parametrize(
    ("one", "other", "found"),
    [(75.97, 76.03, 76.0), (0.07731, 0.07741, 0.0774), (149.9, 150.0, 150.0), (-35.02, -34.99, -35.0)],
)
def test_the_roundest_number_between_two(one: float, other: float, found: float) -> None:
    assert roundest(one, other) == pytest.approx(found)
    assert min(one, other) <= roundest(one, other) <= max(one, other)


LOOP: dict[str, Any] = {
    "service_class": "packaged_air",
    "installation": {
        "cable_run": "800 m",
        "conductor": "0.75 mm2",
        "interface_resistance": "340 ohm",
        "supply_voltage": "24 V",
        "loop_load": "190 ohm",
    },
    "ambient": {"maximum": "20 degC"},
    "devices": {"transmitter": {"minimum_voltage_v": 12}},
}


def test_conductor_load_run_and_a_device_turn_the_supply_of_a_loop() -> None:
    # 24 V - 21 mA (340 + 190 + 2*0.8*24.5 ohm) = 12.05 V; 0.5 mm2 leaves 11.66 V; 41.4 ohm of cable are left.
    found = {
        (point.path, point.direction): point
        for point in turning_points(read({**MINIMAL, **LOOP}), CRITERIA).points
    }
    thinner = found[(CONDUCTOR, "below")]
    assert (thinner.now, thinner.different_at, thinner.same_at) == pytest.approx(
        (0.75, 0.518, 0.75), abs=1e-3
    )
    assert "turns from pass to fail" in thinner.text
    assert found[("installation.loop_load", "above")].turns_at == pytest.approx(571.43 - 340 - 39.2, rel=1e-3)
    by_voltage = found[("devices.transmitter.minimum_voltage_v", "above")]
    assert by_voltage.turns_at == pytest.approx(12.047, rel=1e-3)
    assert by_voltage.fact == "the least voltage of the transmitter"


def test_a_conductor_that_would_pass_a_loop() -> None:
    thin = {**LOOP, "installation": {**LOOP["installation"], "conductor": "0.5 mm2"}}
    values = turning_points(read({**MINIMAL, **thin}), CRITERIA).passing
    (found,) = [value for value in values if value.path == CONDUCTOR and value.check == "loop.supply"]
    assert found.value == pytest.approx(0.75)
    assert "0.75 mm2 and thicker" in found.text


def test_common_cause_turns_a_trip_whose_legs_are_copies() -> None:
    safety = {"sil_target": 4, "proof_test_interval": "1 year", "proof_test_coverage": 1.0}
    justified = {**safety, "radial_trip_voting": "1oo2", "xy_redundancy_justification": "invented"}
    small = {"dangerous_undetected_per_h": 1e-9, "dangerous_detected_per_h": 1e-9}
    devices = told_devices(
        **dict.fromkeys(("relay", "shutdown_logic", "driver_breaker", "monitor_module"), small)
    )
    machine = read({**MINIMAL, "safety": justified, "devices": devices})
    paths = {point.path for point in turning_points(machine, CRITERIA).points}
    assert "devices.probe.beta" in paths
