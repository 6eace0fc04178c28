"""Frequency lines. Each published source is named beside its check; the rest is arithmetic."""

from __future__ import annotations

from typing import Any

import pytest

from tests.rulebook.proposed import frequencies, proposed


def _gear(bull_rpm: float, bull_teeth: int, pinion_rpm: float, pinion_teeth: int) -> dict[str, Any]:
    return proposed(
        {"speed": pinion_rpm, "teeth": pinion_teeth}, bull_gear={"speed": bull_rpm, "teeth": bull_teeth}
    )


def test_hunting_pair_of_foiles() -> None:
    """W. Foiles, gear frequencies by the Euclidean algorithm: 23/67 teeth, pinion at 1800 r/min."""
    document = _gear(1800 * 23 / 67, 67, 1800, 23)
    assert frequencies(document, "P1", "gear_mesh") == [pytest.approx(690, rel=1e-6)]
    assert frequencies(document, "P1", "assembly_phase") == [pytest.approx(690, rel=1e-6)]
    assert frequencies(document, "P1", "tooth_repeat") == [pytest.approx(0.4478, rel=1e-3)]


def test_common_factor_of_foiles() -> None:
    """W. Foiles, gear frequencies by the Euclidean algorithm: 8/42 teeth, 20 Hz."""
    document = _gear(1200 * 8 / 42, 42, 1200, 8)
    assert frequencies(document, "P1", "gear_mesh") == [pytest.approx(160, rel=1e-6)]
    assert frequencies(document, "P1", "assembly_phase") == [pytest.approx(80, rel=1e-6)]
    assert frequencies(document, "P1", "tooth_repeat") == [pytest.approx(0.952, rel=1e-3)]


def test_rotation_of_a_published_train() -> None:
    """Q. Shen, P. J. Smith, Turbomachinery and Pump Symposia 2021, case T10; frequencies computed."""
    document = proposed(
        stage_count=3,
        bull_gear={"speed": "1800 rpm"},
        pinions=[{"speed": "14135 rpm", "stages": [1, 2]}, {"speed": "20062 rpm", "stages": [3]}],
        driver={"kind": "induction_motor", "power": "4.1 MW", "speed": "1800 rpm"},
    )
    assert frequencies(document, "P1", "rotation") == [pytest.approx(235.6, abs=0.05)]
    assert frequencies(document, "P2", "rotation") == [pytest.approx(334.4, abs=0.05)]
    assert frequencies(document, "BG", "rotation") == frequencies(document, "M", "rotation") == [30.0]


def test_defect_frequencies_of_a_published_bearing() -> None:
    """CWRU Bearing Data Center, drive-end bearing at 1797 r/min; "ball" is twice the spin."""
    document = proposed(
        bull_gear={"speed": "1797 rpm"},
        driver={
            "kind": "induction_motor",
            "bearings": "rolling",
            "rolling_bearing": {"balls": 9, "ball_diameter": "0.3126 in", "pitch_diameter": "1.537 in"},
        },
    )
    for kind, expected in (("bpfi", 162.19), ("bpfo", 107.36), ("ftf", 11.93), ("bsf", 141.17 / 2)):
        assert frequencies(document, "M", kind) == [pytest.approx(expected, rel=1e-3)]
    assumed = {row["field"] for row in document["assumptions"]}
    assert "driver.rolling_bearing.contact_angle" in assumed


def test_every_pinion_has_the_one_mesh_frequency() -> None:
    document = proposed(
        stage_count=4,
        bull_gear={"speed": "1490 rpm", "teeth": 281},
        # 18 205 is 0.01 percent off the tooth ratio; P2 tells no teeth.
        pinions=[{"speed": "18205 rpm", "teeth": 23}, {"speed": "22000 rpm"}],
    )
    assert frequencies(document, "P1", "gear_mesh") == frequencies(document, "P2", "gear_mesh")
    assert frequencies(document, "P2", "gear_mesh") == [pytest.approx(281 * 1490 / 60)]
    orders = {row["shaft"]: row["order"] for row in document["frequencies"] if row["kind"] == "gear_mesh"}
    assert orders == {"P1": 23.0, "P2": None}
    assert frequencies(document, "P2", "tooth_repeat") == []


def test_mesh_from_the_pinion_where_the_bull_gear_tells_no_teeth() -> None:
    document = proposed({"teeth": 23})
    assert frequencies(document, "P1", "gear_mesh") == [pytest.approx(23 * 18200 / 60)]
    assert frequencies(document, "P1", "assembly_phase") == []


def test_nothing_is_written_of_what_was_not_told() -> None:
    document = proposed()
    assert {row["kind"] for row in document["frequencies"]} == {"rotation", "whirl_low", "whirl_high"}
    assert {row["shaft"] for row in document["frequencies"]} == {"BG", "P1"}
    needs = {row["key"]: row["needs"] for row in document["open_points"]}
    assert needs["gear_teeth"] == "bull_gear.teeth"


def test_blades_vanes_and_whirl_by_their_orders() -> None:
    document = proposed({"speed": 18000, "impeller_blades": [17, 19], "diffuser_vanes": [21, 21]})
    assert frequencies(document, "P1", "blade_pass") == [17 * 300.0, 19 * 300.0]
    assert frequencies(document, "P1", "vane_pass") == [21 * 300.0]
    assert frequencies(document, "P1", "whirl_low") == [pytest.approx(114.0)]
    assert frequencies(document, "P1", "whirl_high") == [pytest.approx(144.0)]
    orders = [row["order"] for row in document["frequencies"] if row["kind"] == "blade_pass"]
    assert orders == [17.0, 19.0]


def test_every_line_has_a_reason() -> None:
    document = proposed(
        {"teeth": 23, "impeller_blades": [17, 17]}, bull_gear={"speed": "1490 rpm", "teeth": 281}
    )
    for row in document["frequencies"]:
        assert [document["trace"][index]["rule"][:4] for index in row["trace"]] == ["FRQ-"]
