"""What may be overridden stays sound: paired ranges never cross, and the engine bears both ends of each."""

from itertools import pairwise
from pathlib import Path

import pytest

from specapp.criteria.loader import Override, load_defaults
from specapp.criteria.ordering import out_of_order
from specapp.domain.reading import read_machine
from specapp.rulebook.proposing import propose_description, reading_context

MACHINES = Path(__file__).parents[2] / "fixtures" / "machines"

ASCENDING = (
    ("whirl.low", "whirl.high"),
    ("loop.fault_low", "loop.band_low", "loop.band_high", "loop.fault_high"),
    ("probe.side_clearance_fail", "probe.side_clearance_pass"),
    ("probe.shaft_8mm_fail", "probe.shaft_8mm_pass"),
    ("probe.shaft_5mm_fail", "probe.shaft_5mm_pass"),
    ("probe.system_5m_run", "probe.system_9m_run"),
    ("probe.fault_voltage_far", "probe.fault_voltage_near"),
    ("accelerometer.band_minimum_orders", "accelerometer.band_orders"),
    ("accelerometer.standard_band", "accelerometer.high_band"),
    ("range.casing_acceleration", "range.casing_acceleration_extended"),
    ("range.temperature_low", "range.temperature_high"),
    ("range.temperature_low", "range.winding_temperature_high"),
    *(
        tuple(f"range.{device}_{unit}_{step}" for step in range(1, steps + 1))
        for device, steps in (("monitor", 3), ("transmitter", 5))
        for unit in ("um", "mil")
    ),
)


@pytest.mark.parametrize("keys", ASCENDING, ids=lambda keys: keys[0])
def test_no_override_can_turn_the_order_round(keys):
    criteria = [load_defaults().get(key) for key in keys]
    for lower, higher in pairwise(criteria):
        assert lower.maximum < higher.minimum, (lower.key, higher.key)


@pytest.mark.parametrize("end", ["minimum", "maximum"])
@pytest.mark.parametrize("sample", ["contract_example", "minimal_packaged"])
def test_the_engine_bears_every_criterion_at_either_end_of_its_range(sample, end):
    defaults = load_defaults()
    machine = read_machine((MACHINES / f"{sample}.json").read_bytes(), reading_context(defaults))
    faults = []
    # What no rule read for this machine cannot move it: tests/rulebook/test_reevaluation.py.
    read = {row["key"] for row in propose_description(machine, defaults).criteria}
    assert len(read) > 60
    for criterion in (each for each in defaults if each.key in read):
        override = Override(getattr(criterion, end), "the end of its range")
        moved = defaults.with_overrides({criterion.key: override}, "machine")
        if out_of_order(moved):
            continue  # refused as an input error, see test_ordering
        proposal = propose_description(machine, moved)
        faults += [(criterion.key, line.statement) for line in proposal.reconciliation if not line.holds]
        for point in proposal.points:
            alarm, trip = point.setpoints.alarm, point.setpoints.trip
            if alarm and trip and not trip.value > alarm.value:
                faults.append((criterion.key, f"{point.key}: alarm {alarm.value}, trip {trip.value}"))
    assert faults == []
