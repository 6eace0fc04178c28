"""Checks of the probes, each side of every threshold.

Limits: the project's criteria (common practice, API 670 from memory).
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.rulebook.proposed import check, checks, proposed

PAIR = "P1/P1-1/radial"


@pytest.mark.parametrize(
    ("clearance_mm", "result", "limit_mm"),
    [(8.0, "pass", 8.0), (7.99, "caution", 8.0), (4.0, "caution", 8.0), (3.99, "fail", 4.0)],
)
def test_side_clearance(clearance_mm: float, result: str, limit_mm: float) -> None:
    document = proposed({"journal_diameter": 80, "probe_side_clearance": clearance_mm})
    found = check(document, "probe.side_clearance", PAIR)
    assert (found["result"], found["limit"]["value"]) == (result, limit_mm)
    assert found["measured"] == {"value": clearance_mm, "unit": "mm"}
    assert bool(found["remedies"]) == (result != "pass")


def test_side_clearance_is_counted_in_tips_of_the_probe_chosen() -> None:
    document = proposed({"journal_diameter": 48, "probe_side_clearance": 5.0})
    assert check(document, "probe.side_clearance", PAIR)["result"] == "pass"


@pytest.mark.parametrize(
    ("name", "needs"),
    [
        ("probe.side_clearance", "pinions[0].probe_side_clearance"),
        ("probe.tip_spacing", "pinions[0].journal_diameter"),
        ("probe.shaft_diameter", "pinions[0].journal_diameter"),
        ("probe.track_width", "pinions[0].track_width"),
        ("probe.linear_range", "pinions[0].journal_diameter"),
    ],
)
def test_missing_fact_is_named(name: str, needs: str) -> None:
    found = check(proposed(), name, PAIR)
    assert (found["result"], found["needs"], found["measured"]) == ("not_evaluated", needs, None)


# s = sqrt(2) * (D/2 + 1.27 mm): 40 mm at D = 54.03, 25 mm at D = 32.82.
@pytest.mark.parametrize(
    ("diameter_mm", "result", "spacing_mm", "limit_mm"),
    [
        (80.0, "pass", 58.36, 40.0),
        (54.1, "pass", 40.05, 40.0),
        (54.0, "pass", 39.98, 25.0),
        (32.9, "pass", 25.06, 25.0),
        (32.7, "caution", 24.92, 25.0),
    ],
)
def test_tip_spacing_by_geometry(diameter_mm: float, result: str, spacing_mm: float, limit_mm: float) -> None:
    found = check(proposed({"journal_diameter": diameter_mm}), "probe.tip_spacing", PAIR)
    assert (found["result"], found["limit"]["value"]) == (result, limit_mm)
    assert found["measured"]["value"] == pytest.approx(spacing_mm, abs=0.01)


@pytest.mark.parametrize(("spacing_mm", "result"), [(40.0, "pass"), (39.9, "caution"), (25.0, "caution")])
def test_told_spacing_while_the_diameter_is_unknown(spacing_mm: float, result: str) -> None:
    found = check(proposed({"probe_tip_spacing": spacing_mm}), "probe.tip_spacing", PAIR)
    assert (found["result"], found["limit"]["value"]) == (result, 40.0)
    assert any("5 mm tips" in remedy for remedy in found["remedies"]) == (result == "caution")


def test_remedies_of_close_tips_are_computed() -> None:
    """sqrt(40^2 - 24^2) = 32."""
    found = check(proposed({"journal_diameter": 80, "probe_tip_spacing": 24}), "probe.tip_spacing", PAIR)
    assert found["result"] == "caution"
    assert any("32.0 mm along the shaft" in remedy for remedy in found["remedies"])
    assert any("oscillator frequency groups" in remedy for remedy in found["remedies"])
    assert not any("5 mm tips" in remedy for remedy in found["remedies"])


# A pair on 80 mm stands 58.36 mm apart.
@pytest.mark.parametrize(
    ("spacing_mm", "result"), [(61.3, "pass"), (61.4, "caution"), (55.4, "pass"), (55.3, "caution")]
)
def test_told_spacing_against_the_geometric_one(spacing_mm: float, result: str) -> None:
    found = check(
        proposed({"journal_diameter": 80, "probe_tip_spacing": spacing_mm}), "probe.tip_spacing", PAIR
    )
    assert found["result"] == result


def test_single_probe_has_no_spacing_check() -> None:
    document = proposed({"journal_diameter": 60}, service_class="packaged_air", criticality="essential")
    assert checks(document, "probe.tip_spacing") == {}
    assert check(document, "probe.shaft_diameter", "P1/P1-1/radial/Y")["result"] == "caution"


@pytest.mark.parametrize(
    ("diameter_mm", "result", "limit_mm"),
    [
        (76.0, "pass", 76.0),  # 8 mm tip
        (75.9, "caution", 76.0),
        (54.1, "caution", 76.0),
        (54.0, "pass", 50.0),  # 5 mm tip from here on, for the spacing
        (50.0, "pass", 50.0),
        (49.9, "caution", 50.0),
        (30.0, "caution", 50.0),
        (29.9, "fail", 30.0),
    ],
)
def test_shaft_diameter(diameter_mm: float, result: str, limit_mm: float) -> None:
    found = check(proposed({"journal_diameter": diameter_mm}), "probe.shaft_diameter", PAIR)
    assert (found["result"], found["limit"]["value"]) == (result, limit_mm)
    assert found["measured"]["value"] == diameter_mm


def test_caution_on_the_8_mm_tip_says_whether_5_mm_would_pass() -> None:
    passes = check(proposed({"journal_diameter": 60}), "probe.shaft_diameter", PAIR)
    assert "A 5 mm tip would pass" in passes["text"]
    assert "5 mm tip." in passes["remedies"]
    close = proposed({"journal_diameter": 60, "probe_tip_spacing": 24})
    assert "but not at 24.0 mm between tips" in check(close, "probe.shaft_diameter", PAIR)["text"]


def test_shaft_too_small_for_any_tip_asks_for_a_collar_or_a_calibration() -> None:
    found = check(proposed({"journal_diameter": 25}), "probe.shaft_diameter", PAIR)
    assert any("collar" in remedy for remedy in found["remedies"])
    assert any("Calibrate" in remedy for remedy in found["remedies"])


@pytest.mark.parametrize(
    ("diameter_mm", "width_mm", "result"),
    [(80, 24.0, "pass"), (80, 23.9, "caution"), (48, 15.0, "pass"), (48, 14.9, "caution")],
)
def test_track_width(diameter_mm: float, width_mm: float, result: str) -> None:
    document = proposed({"journal_diameter": diameter_mm, "track_width": width_mm})
    assert check(document, "probe.track_width", PAIR)["result"] == result


def _slow_pinion(clearance_mm: float, **more: Any) -> dict[str, Any]:
    """Return a pinion at 6000 r/min: acceptance 25.4, trip 50 um p-p as rounded."""
    return proposed({"journal_diameter": 200, "diametral_clearance": clearance_mm, "speed": 6000, **more})


@pytest.mark.parametrize(("clearance_mm", "result"), [(0.74, "pass"), (0.75, "fail")])
def test_radial_linear_range(clearance_mm: float, result: str) -> None:
    """0.025 + 0.13 + Cd against 0.9 mm."""
    found = check(_slow_pinion(clearance_mm), "probe.linear_range", PAIR)
    assert found["result"] == result
    assert found["measured"]["value"] == pytest.approx(0.025 + 0.13 + clearance_mm)
    assert found["limit"] == {"value": 0.9, "unit": "mm"}


def test_radial_linear_range_counts_the_multiplier() -> None:
    """3 * 50/2 um = 0.075 mm; the largest factor is (0.9 - 0.13 - 0.72) * 2000/50 = 2."""
    found = check(_slow_pinion(0.72, setpoint_multiplier=3), "probe.linear_range", PAIR)
    assert found["result"] == "fail"
    assert found["measured"]["value"] == pytest.approx(0.925)
    assert "Setpoint multiplier of at most 2.00." in found["remedies"]


@pytest.mark.parametrize(("float_mm", "result"), [(0.80, "pass"), (0.82, "pass"), (1.1, "fail")])
def test_axial_linear_range(float_mm: float, result: str) -> None:
    """Trip = float/2 + min(0.5, 0.76/2) = float/2 + 0.38 mm, against 0.9 mm."""
    document = proposed(bull_gear={"speed": "1490 rpm", "axial_float": float_mm})
    found = check(document, "probe.linear_range", "BG/axial")
    assert found["result"] == result
    assert found["measured"]["value"] == pytest.approx(float_mm / 2 + 0.38, abs=0.01)


def test_collar_held_pinion_is_held_to_its_alarm() -> None:
    found = check(proposed(), "probe.linear_range", "P1/axial/A")
    assert found["result"] == "pass"
    assert found["text"].startswith("Axial alarm")


@pytest.mark.parametrize(
    ("low_c", "high_c", "result", "needs"),
    [
        (-35, 50, "pass", None),
        (-35, 50.1, "fail", None),
        (-35.1, 50, "fail", None),
        (None, 50.1, "fail", None),
        (None, 50, "not_evaluated", "ambient.minimum"),
        (-20, None, "not_evaluated", "ambient.maximum"),
        (-40, None, "fail", None),
        (None, None, "not_evaluated", "ambient.maximum"),
    ],
)
def test_temperature(low_c: float | None, high_c: float | None, result: str, needs: str | None) -> None:
    told = {"minimum": low_c, "maximum": high_c}
    document = proposed(ambient={name: value for name, value in told.items() if value is not None})
    found = check(document, "probe.temperature", "machine")
    assert (found["result"], found["needs"]) == (result, needs)


def test_electronics_are_held_to_the_sun_not_to_the_air() -> None:
    found = check(proposed(ambient={"minimum": 0, "maximum": 45}), "probe.temperature", "machine")
    assert found["measured"] == {"value": 60, "unit": "degC"}


@pytest.mark.parametrize(
    ("run_m", "result", "limit_m"),
    [(4.0, "pass", 4.0), (4.1, "pass", 8.0), (8.0, "pass", 8.0), (8.1, "fail", 8.0)],
)
def test_system_length(run_m: float, result: str, limit_m: float) -> None:
    found = check(proposed(installation={"probe_to_box": run_m}), "probe.system_length", "machine")
    assert (found["result"], found["limit"]["value"]) == (result, limit_m)


def test_system_length_of_an_unknown_run() -> None:
    found = check(proposed(), "probe.system_length", "machine")
    assert (found["result"], found["needs"]) == ("not_evaluated", "installation.probe_to_box")


def test_driver_journals_are_left_to_the_driver_maker() -> None:
    document = proposed(driver={"kind": "steam_turbine"})
    for name in ("probe.side_clearance", "probe.tip_spacing", "probe.shaft_diameter", "probe.track_width"):
        assert not any(subject.startswith("M") for subject in checks(document, name) if subject != "machine")
