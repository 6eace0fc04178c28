"""Cause and effect, and process protection.

Sources: project criteria 5 and 6 (common practice); discharge air, oil and cooler lines of packaged machines
by the US federal guide specification for large centrifugal air compressors (published).
"""

from __future__ import annotations

from typing import Any

import pytest

from specapp.domain.proposal import CauseAndEffect, ProcessProtection, Proposal
from specapp.rulebook.proposing import propose_document
from tests.rulebook.test_cases import MINIMAL

STOP = ("stop_driver", "open_blow_off", "close_inlet", "start_auxiliary_oil_pump", "block_restart")
MOTOR = {"kind": "induction_motor", "power": "4 MW", "bearings": "sleeve"}


def _proposal(**facts: Any) -> Proposal:
    return propose_document(MINIMAL | facts)


def _rows(**facts: Any) -> dict[tuple[str, str], CauseAndEffect]:
    rows = _proposal(**facts).cause_and_effect
    found = {(row.cause, row.level): row for row in rows}
    assert len(found) == len(rows)
    return found


@pytest.mark.parametrize("driver", [None, MOTOR, {"kind": "steam_turbine"}, {"kind": "gas_turbine"}])
@pytest.mark.parametrize("service_class", ["process", "packaged_air"])
def test_every_alarm_and_trip_of_a_group_has_one_row(service_class: str, driver: Any) -> None:
    proposal = _proposal(service_class=service_class, **({"driver": driver} if driver else {}))
    expected = {
        (point.voting_group, level)
        for point in proposal.points
        for level, setpoint in (("alarm", point.setpoints.alarm), ("trip", point.setpoints.trip))
        if setpoint is not None and not point.key.startswith(("P1/axial", "P2/axial"))
    }
    rows = [(row.cause, row.level) for row in proposal.cause_and_effect if row.level != "circuit_fault"]
    assert sorted(rows) == sorted(expected)


def test_a_motor_is_stopped_and_a_turbine_shut_off() -> None:
    assert _rows(driver=MOTOR)["P1/P1-1/radial", "trip"].effects == STOP
    turbine = _rows(driver={"kind": "gas_turbine"})["P1/P1-1/radial", "trip"]
    assert turbine.effects == ("close_trip_valve", *STOP[1:])


def test_an_expander_is_shut_in_by_every_trip() -> None:
    pinions = [{"speed": 18200}, {"speed": 22000, "stages": [3], "expander_stages": [3]}]
    rows = _rows(pinions=pinions, driver=MOTOR)
    for row in rows.values():
        assert ("close_expander_inlet" in row.effects) == (row.level == "trip")
    assert rows["P2/overspeed", "trip"].acts_in == "overspeed system P2"


def test_alarm_and_circuit_fault_are_only_annunciated() -> None:
    for (_, level), row in _rows(driver=MOTOR).items():
        assert (row.effects == ("annunciate",)) == (level != "trip")


def test_collar_held_pinions_have_no_row_until_the_maker_answers() -> None:
    rows = _rows()
    assert not any("P1/axial" in cause for cause, _ in rows)
    own = [{"speed": 18200, "axial_location": "thrust_bearing"}, {"speed": 22000}]
    assert ("P1/axial", "trip") in _rows(pinions=own)


def test_the_oil_pump_is_started_and_never_stopped() -> None:
    effects = {effect for row in _rows(driver=MOTOR).values() for effect in row.effects}
    assert "start_auxiliary_oil_pump" in effects
    assert not any("stop" in effect and "pump" in effect for effect in effects)


def test_rows_say_setting_delay_vote_and_place() -> None:
    row = _rows()["P1/P1-1/radial", "trip"]
    assert row.setting.endswith(" um p-p")
    assert row.delay is not None
    assert (row.delay.value, row.voting, row.acts_in) == (1.0, "1oo2", "monitor rack R-1")
    axial = _rows()["BG/axial", "trip"]
    assert axial.setting.startswith("±")
    assert axial.setting.endswith(" mm")
    assert "oth faulted" in _rows()["BG/axial", "circuit_fault"].note


def test_windings_act_in_the_motor_relay_one_row_a_level() -> None:
    rows = {key: row for key, row in _rows(driver=MOTOR).items() if key[0] == "M/winding"}
    assert {level for _, level in rows} == {"alarm", "trip", "circuit_fault"}
    assert {row.acts_in for row in rows.values()} == {"motor relay"}
    assert {row.relay for row in rows.values()} == {None}
    assert all(len(row.points) == 6 for row in rows.values())


def test_a_transmitter_machine_trips_in_the_control_system_and_says_so() -> None:
    row = _rows(service_class="packaged_air")["P1/P1-1/radial/Y", "trip"]
    assert (row.acts_in, row.relay) == ("control system", None)
    assert "The trip acts in the control system." in row.note


def test_a_held_value_is_marked_in_its_row() -> None:
    pinions = [{"speed": 18200, "journal_diameter": 60, "diametral_clearance": 0.031}, {"speed": 22000}]
    row = _rows(pinions=pinions)["P1/P1-1/radial", "trip"]
    assert row.note.startswith("Held")


def _protection(**facts: Any) -> dict[str, ProcessProtection]:
    return {line.key: line for line in _proposal(**facts).process_protection}


def test_packaged_air_lines() -> None:
    lines = _protection(service_class="packaged_air")
    air = lines["discharge_air_temperature_high"]
    assert air.alarm == air.trip == "135 degC, or the maker's predicted value plus 15 K once known"
    assert lines["lube_oil_pressure_low"].alarm == "80 % of header pressure"
    assert lines["lube_oil_pressure_low"].trip == "65 % of header pressure"
    assert (lines["lube_oil_temperature_high"].alarm, lines["lube_oil_temperature_high"].trip) == (
        "55 degC",
        "60 degC",
    )
    for key in (
        "intercooler_temperature_high",
        "aftercooler_temperature_high",
        "cooling_water_temperature_high",
    ):
        assert lines[key].trip is None
    assert "surge" in lines
    assert "motor_protection" in lines
    assert "seal_gas" not in lines
    assert all(line.because for line in lines.values())


def test_process_adds_its_own_lines() -> None:
    lines = _protection()
    assert lines["lube_oil_pressure_low"].voting == "2oo3"
    assert {"seal_gas", "suction_drum_level_high", "stage_discharge_temperature_high", "surge"} <= set(lines)
    assert "discharge_air_temperature_high" not in lines
    assert "motor_protection" not in _protection(driver={"kind": "steam_turbine"})


def test_process_protection_is_in_setting_units() -> None:
    assert _protection(setting_units="us")["lube_oil_temperature_high"].trip == "140 degF"
