"""Devices of machine/1: data by kind, their units, and what is wrong with them told all at once."""

import pytest
from jsonschema import Draft202012Validator

from specapp.domain.devices import DEVICE_NAMES
from specapp.domain.reading import machine_json, machine_schema
from tests.domain.samples import lines, machine, read

RATED = {"dangerous_undetected_per_h": 3e-7, "failure_data_source": "certificate of the maker, rev. 2"}


@pytest.mark.parametrize(
    ("field", "typed", "value"),
    [
        ("dangerous_undetected_per_h", "300 FIT", 3e-7),
        ("dangerous_undetected_per_h", "3e-7 1/h", 3e-7),
        ("dangerous_detected_per_h", "8.76e-3 1/year", 1e-6),
        ("beta", "0.05", 0.05),
        ("repair_time", "1 week", 168.0),
        ("uo_v", "28 V", 28.0),
        ("ii_ma", "0.12 A", 120.0),
        ("po_w", 0.653, 0.653),
        ("ci_nf", "20000 pF", 20.0),
        ("co_nf", "0.083 µF", 83.0),
        ("li_uh", "0.01 mH", 10.0),
        ("lo_mh", "4200 uH", 4.2),
        ("lo_ro_uh_per_ohm", "54.4 µH/Ω", 54.4),
        ("scale", "200 mV/mil", 7.874015748),
        ("ambient_minimum", "-40 degF", -40.0),
    ],
)
def test_quantities_of_a_device_end_in_the_unit_of_their_name(field, typed, value):
    told = read(machine(devices={"probe": {"failure_data_source": "maker", field: typed}}))
    assert getattr(told.devices["probe"], field) == value


def test_a_description_with_devices_is_read_again_as_it_was_written():
    told = read(machine(devices={name: {**RATED, "component_type": "A"} for name in DEVICE_NAMES}))
    written = machine_json(told)
    assert read(written) == told
    assert list(written["devices"]) == list(DEVICE_NAMES)
    Draft202012Validator(machine_schema()).validate(written)
    assert len({told, read(written)}) == 1


def test_sources_may_name_a_field_of_a_device():
    path = "devices.probe.dangerous_undetected_per_h"
    told = read(machine(devices={"probe": RATED}, sources={path: {"document": "FMEDA-1"}}))
    assert told.sources[path].document == "FMEDA-1"


def test_every_problem_of_the_devices_is_told_at_its_place():
    found = lines(
        machine(
            devices={
                "prob": {},
                "probe": {"dangerous_undetected_per_h": -1e-7, "beta": 1.01, "colour": "red"},
                "relay": {"dangerous_detected_per_h": 1e-7},
                "isolator": {"uo_v": "28 ohm", "ambient_minimum": 41, "ambient_maximum": 40},
                "trip_valve": 3,
                "motor_relay": {
                    "dangerous_undetected_per_h": 0,
                    "dangerous_detected_per_h": 0,
                    "safe_detected_per_h": 0,
                    "safe_undetected_per_h": 0,
                    "failure_data_source": "maker",
                },
            }
        )
    )
    assert [line.split(":")[0] for line in found] == [
        'devices["prob"]',
        'devices["probe"].dangerous_undetected_per_h',
        'devices["probe"].beta',
        'devices["probe"].colour',
        'devices["relay"].failure_data_source',
        'devices["isolator"].uo_v',
        'devices["isolator"].ambient_minimum',
        'devices["trip_valve"]',
        'devices["motor_relay"].dangerous_undetected_per_h',
    ]
    assert "did you mean probe?" in found[0]
    assert found[1].endswith("found -1e-07; allowed: 0 to 0.01 1/h")


@pytest.mark.parametrize("devices", [["probe"], "probe", 3, {"probe": []}])
def test_devices_of_another_shape_are_refused(devices):
    assert lines(machine(devices=devices))[0].startswith("devices")


@pytest.mark.parametrize("rate", [0, 0.01])
def test_a_rate_may_be_at_either_end_of_its_range(rate):
    told = read(machine(devices={"probe": {**RATED, "dangerous_undetected_per_h": rate}}))
    assert told.devices["probe"].dangerous_undetected_per_h == rate


def test_a_rate_beyond_its_range_is_refused():
    assert lines(machine(devices={"probe": {**RATED, "dangerous_undetected_per_h": 0.0101}}))


def test_the_schema_refuses_a_device_that_is_none():
    validator = Draft202012Validator(machine_schema())
    assert validator.is_valid(machine(devices={"probe": RATED}))
    assert not validator.is_valid(machine(devices={"prob": RATED}))
    assert not validator.is_valid(machine(devices={"probe": {**RATED, "colour": "red"}}))


def test_a_full_test_may_be_as_frequent_as_the_proof_test_but_not_more():
    safety = {"proof_test_interval": "2 year", "full_test_interval": "2 year"}
    assert read(machine(safety=safety)).safety.full_test_interval == 17_520
    found = lines(machine(safety={**safety, "full_test_interval": "17519 h"}))
    assert found == [
        'safety.full_test_interval: found "17519 h"; allowed: at least the proof-test interval, 17 520 h'
    ]


@pytest.mark.parametrize("vote", ["1oo2D", " 1oo2d"])
def test_1oo2d_is_refused_by_name(vote):
    (line,) = lines(machine(safety={"radial_trip_voting": vote}))
    assert line.startswith("safety.radial_trip_voting: ")
    assert "1oo2D is not calculated" in line
