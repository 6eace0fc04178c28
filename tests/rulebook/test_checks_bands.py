"""Checks of frequency bands and field cables, each side of every threshold."""

from __future__ import annotations

from typing import Any

import pytest

from tests.rulebook.proposed import check, checks, proposed


@pytest.mark.parametrize(("speed_rpm", "result"), [(60_000, "pass"), (60_001, "caution")])
def test_radial_band_reaches_four_orders(speed_rpm: float, result: str) -> None:
    found = check(proposed({"speed": speed_rpm}), "radial.band", "P1")
    assert (found["result"], found["limit"]["value"]) == (result, 4000.0)
    assert found["measured"]["value"] == pytest.approx(4 * speed_rpm / 60)


@pytest.mark.parametrize(("speed_rpm", "result"), [(240, "pass"), (239, "caution")])
def test_radial_band_begins_below_the_slowest_shaft(speed_rpm: float, result: str) -> None:
    assert check(proposed(bull_gear={"speed": speed_rpm}), "radial.band", "BG")["result"] == result


# 20 samples a turn govern above 30 720 r/min, 2.56 * 4 kHz = 10.24 kHz below.
@pytest.mark.parametrize(
    ("speed_rpm", "sample_rate_hz", "result"),
    [
        (18_000, 10_240, "pass"),
        (18_000, 10_239, "caution"),
        (36_000, 12_000, "pass"),
        (36_000, 11_999, "caution"),
    ],
)
def test_sampling(speed_rpm: float, sample_rate_hz: float, result: str) -> None:
    document = proposed({"speed": speed_rpm}, installation={"sample_rate": sample_rate_hz})
    assert check(document, "radial.sampling", "machine")["result"] == result


def test_sampling_not_told() -> None:
    found = check(proposed(), "radial.sampling", "machine")
    assert (found["result"], found["needs"]) == ("not_evaluated", "installation.sample_rate")
    assert found["limit"]["value"] == pytest.approx(10_240)


@pytest.mark.parametrize(
    ("teeth", "result", "limit_hz"),
    # 60 r/s: the mesh needs 3.25 * 60 Hz * teeth.
    [(51, "pass", 10_000), (52, "pass", 30_000), (153, "pass", 30_000), (154, "caution", 30_000)],
)
def test_accelerometer_band(teeth: int, result: str, limit_hz: float) -> None:
    document = proposed(bull_gear={"speed": "3600 rpm", "teeth": teeth})
    found = check(document, "accelerometer.band", "BG/B1/casing")
    assert (found["result"], found["limit"]["value"]) == (result, limit_hz)
    assert found["measured"]["value"] == pytest.approx(3.25 * 60 * teeth)
    assert ("not observable at three orders" in found["text"]) == (result == "caution")


def test_accelerometer_band_of_unknown_teeth() -> None:
    found = check(proposed(), "accelerometer.band", "BG/B1/casing")
    assert (found["result"], found["needs"]) == ("not_evaluated", "bull_gear.teeth")


def test_velocity_sensor_has_no_mesh_to_reach() -> None:
    assert checks(proposed(installation={"chain": "transmitter"}), "accelerometer.band") == {}


CABLE = {"cable_run": 180, "conductor": "1.0 mm2", "interface_resistance": 340}


def test_cable_bandwidth_is_computed() -> None:
    """R = 340 + 0.18 km * 18.1 ohm/km = 343.26 ohm, C = 36 nF: 0.3287 / (2 pi R C) = 4.233 kHz."""
    document = proposed(installation=CABLE)
    found = checks(document, "cable.bandwidth")
    assert found["P1/P1-1/radial"]["result"] == "pass"
    assert found["P1/P1-1/radial"]["measured"]["value"] == pytest.approx(4233, abs=2)
    assert found["P1/P1-1/radial"]["limit"]["value"] == pytest.approx(4 * 18200 / 60)
    assert found["BG/B1/radial"]["limit"]["value"] == 1000.0
    assert found["BG/axial"]["limit"]["value"] == 10.0
    assert (found["P1/phase"]["result"], found["P1/phase"]["limit"]["value"]) == ("fail", 10_000.0)
    assert found["BG/B1/casing"]["limit"]["value"] == 30_000.0


@pytest.mark.parametrize("left_out", ["cable_run", "conductor", "interface_resistance"])
def test_cable_bandwidth_names_what_is_missing(left_out: str) -> None:
    told = {name: value for name, value in CABLE.items() if name != left_out}
    found = checks(proposed(installation=told), "cable.bandwidth")
    assert {row["needs"] for row in found.values()} == {f"installation.{left_out}"}


@pytest.mark.parametrize(
    ("resistance_ohm", "result"),
    # 10 kHz within 5 percent over 36 nF: R <= 145.3 ohm, of which the cable has 3.26.
    [(142.0, "pass"), (142.2, "fail")],
)
def test_cable_bandwidth_at_its_limit(resistance_ohm: float, result: str) -> None:
    document = proposed(installation={**CABLE, "interface_resistance": resistance_ohm})
    assert check(document, "cable.bandwidth", "P1/phase")["result"] == result


@pytest.mark.parametrize(
    ("told", "result"),
    [
        ({"cable_run": 150}, "pass"),
        ({"cable_run": 150.1}, "caution"),
        ({"cable_run": 300, "conductor": "1.0 mm2", "interface_resistance": 1}, "pass"),
        ({"cable_run": 300, "conductor": "1.0 mm2", "interface_resistance": 340}, "caution"),
        ({"cable_run": 300.1, "conductor": "1.0 mm2", "interface_resistance": 1}, "fail"),
        ({}, "not_evaluated"),
    ],
)
def test_cable_length(told: dict[str, Any], result: str) -> None:
    assert check(proposed(installation=told), "cable.length", "machine")["result"] == result


def test_current_loops_have_no_bandwidth_check_but_the_phase_reference() -> None:
    document = proposed(installation={**CABLE, "chain": "transmitter"})
    assert set(checks(document, "cable.bandwidth")) == {"BG/phase", "P1/phase"}
