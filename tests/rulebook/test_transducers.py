"""Which transducer each point gets. Limits: the project's criteria (common practice, API 670 from memory)."""

from __future__ import annotations

import pytest

from tests.rulebook.proposed import point, proposed

RADIAL = "P1/P1-1/radial/Y"
PACKAGED = {"service_class": "packaged_air", "criticality": "essential"}


@pytest.mark.parametrize(
    ("diameter_mm", "tip_mm"),
    [
        (49.9, 5.0),  # under 50 mm
        (50.0, 5.0),  # 8 mm tips are 37.2 mm apart and need 40, 5 mm tips need 25
        (54.0, 5.0),  # 39.98 mm apart
        (54.1, 8.0),  # 40.05 mm apart
        (76.0, 8.0),
    ],
)
def test_tip_of_a_pair(diameter_mm: float, tip_mm: float) -> None:
    document = proposed({"journal_diameter": diameter_mm})
    assert point(document, RADIAL)["transducer"]["tip"] == {"value": tip_mm, "unit": "mm"}


@pytest.mark.parametrize(("diameter_mm", "tip_mm"), [(49.9, 5.0), (50.0, 8.0), (52.0, 8.0)])
def test_tip_of_a_single_probe_knows_no_spacing(diameter_mm: float, tip_mm: float) -> None:
    document = proposed({"journal_diameter": diameter_mm}, **PACKAGED)
    assert point(document, RADIAL)["transducer"]["tip"]["value"] == tip_mm


def test_tip_is_8_mm_while_the_diameter_is_unknown() -> None:
    assert point(proposed(), RADIAL)["transducer"]["tip"]["value"] == 8.0


def test_target_diameter_goes_before_the_journal() -> None:
    document = proposed({"journal_diameter": 80, "probe_target_diameter": 48})
    assert point(document, RADIAL)["transducer"]["tip"]["value"] == 5.0


@pytest.mark.parametrize(("spacing_mm", "tip_mm"), [(24.9, 8.0), (25.0, 5.0), (39.9, 5.0), (40.0, 8.0)])
def test_told_spacing_decides_the_tip(spacing_mm: float, tip_mm: float) -> None:
    document = proposed({"journal_diameter": 80, "probe_tip_spacing": spacing_mm})
    assert point(document, RADIAL)["transducer"]["tip"]["value"] == tip_mm


def test_axial_and_phase_probes_have_8_mm_tips_on_the_smallest_shaft() -> None:
    document = proposed({"journal_diameter": 30})
    for key in ("P1/axial/A", "P1/phase", "BG/axial/A"):
        assert point(document, key)["transducer"]["tip"]["value"] == 8.0


@pytest.mark.parametrize(("run_m", "system_m"), [(None, 5.0), (4.0, 5.0), (4.1, 9.0), (8.5, 9.0)])
def test_system_length(run_m: float | None, system_m: float) -> None:
    told = {} if run_m is None else {"probe_to_box": run_m}
    for key in (RADIAL, "BG/axial/A", "BG/phase"):
        assert point(proposed(installation=told), key)["transducer"]["system_length"]["value"] == system_m


def test_scale_and_bands_of_the_probes() -> None:
    document = proposed()
    assert point(document, RADIAL)["transducer"]["scale"] == "7.87 V/mm (200 mV/mil)"
    assert point(document, RADIAL)["transducer"]["band"] == "4 Hz to 4 kHz"
    assert point(document, "P1/axial/A")["transducer"]["band"] == "0 Hz to 10 Hz"
    assert point(document, "P1/phase")["transducer"]["band"] == "0 Hz to 10 kHz"


def test_frequency_groups_only_where_the_tips_are_too_close() -> None:
    close = proposed({"journal_diameter": 80, "probe_tip_spacing": 20})
    groups = [point(close, f"P1/P1-2/radial/{leg}")["installation"]["frequency_group"] for leg in "YX"]
    assert groups == ["F1", "F2"]
    wide = proposed({"journal_diameter": 80})
    assert point(wide, RADIAL)["installation"]["frequency_group"] is None


@pytest.mark.parametrize(
    ("teeth", "service_class", "expected"),
    [
        # 60 r/s of the bull gear: mesh 60 Hz times its teeth; process needs 3.25, packaged 1.3 times that.
        (51, "process", "accelerometer"),
        (52, "process", "high_frequency_accelerometer"),
        (128, "packaged_air", "accelerometer"),
        (129, "packaged_air", "high_frequency_accelerometer"),
    ],
)
def test_accelerometer_by_the_mesh(teeth: int, service_class: str, expected: str) -> None:
    document = proposed(
        service_class=service_class,
        criticality="critical",
        bull_gear={"speed": "3600 rpm", "teeth": teeth},
    )
    assert point(document, "BG/B1/casing")["transducer"]["type"] == expected


@pytest.mark.parametrize(
    ("speed_rpm", "expected"),
    [(9230, "accelerometer"), (9231, "high_frequency_accelerometer")],  # 3.25 * 20 teeth * n/60 = 10 kHz
)
def test_accelerometer_while_the_teeth_are_unknown(speed_rpm: int, expected: str) -> None:
    document = proposed({"speed": speed_rpm})
    assert point(document, "BG/B1/casing")["transducer"]["type"] == expected
    assumed = {row["field"]: row["value"] for row in document["assumptions"]}
    assert assumed["pinions[0].teeth"] == 20
    assert "gear_teeth" in {row["key"] for row in document["open_points"]}


def test_high_frequency_type_is_stud_mounted_and_says_what_it_cannot_do() -> None:
    notes = point(proposed(bull_gear={"speed": "1490 rpm", "teeth": 281}), "BG/B1/casing")["installation"][
        "notes"
    ]
    assert any("Stud mounted" in note for note in notes)
    assert any("noise floor" in note for note in notes)


def test_casing_is_a_velocity_sensor_in_a_transmitter_chain_and_the_mesh_an_open_point() -> None:
    document = proposed(installation={"chain": "transmitter"})
    assert point(document, "BG/B1/casing")["transducer"]["type"] == "velocity_sensor"
    assert "mesh_not_observed" in {row["key"] for row in document["open_points"]}


@pytest.mark.parametrize("chain", ["monitor", "transmitter"])
def test_motor_casing_is_a_velocity_sensor_in_every_chain(chain: str) -> None:
    document = proposed(
        installation={"chain": chain}, driver={"kind": "induction_motor", "bearings": "rolling"}
    )
    assert point(document, "M1/casing")["transducer"]["type"] == "velocity_sensor"


def test_seal_housing_asks_for_pressure_rated_probes_at_the_impeller_only() -> None:
    document = proposed({"probe_location": "seal_housing", "stages": [1]}, stage_count=1)
    sealed, blind = point(document, RADIAL), point(document, "P1/P1-2/radial/Y")
    assert sealed["transducer"]["text"].startswith("Pressure-rated")
    assert sealed["installation"]["location"].startswith("in the seal housing of stage 1")
    assert not blind["transducer"]["text"].startswith("Pressure-rated")
    assert "seal_pressure/P1" in {row["key"] for row in document["open_points"]}


def test_known_seal_pressure_is_no_open_point() -> None:
    document = proposed({"probe_location": "seal_housing", "seal_pressure": "3 bar"})
    assert "seal_pressure/P1" not in {row["key"] for row in document["open_points"]}
    assert any("3 bar" in note for note in point(document, RADIAL)["installation"]["notes"])


def test_every_point_has_a_place_and_its_reasons() -> None:
    document = proposed(driver={"kind": "steam_turbine"})
    for row in document["points"]:
        assert row["installation"]["location"], row["key"]
        assert any(reason["rule"].startswith("INS-") for reason in row["because"]), row["key"]
    assert document["conflicts"] == []
