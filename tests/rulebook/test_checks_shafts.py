"""Checks of the shafts, each side of every threshold."""

from __future__ import annotations

import pytest

from tests.rulebook.proposed import check, checks, proposed


@pytest.mark.parametrize(
    ("material", "result"),
    [
        ("AISI 4140", "pass"),
        ("4130", "pass"),
        ("SAE4142H", "pass"),
        ("AISI 4145", "pass"),
        ("UNS G41400", "pass"),
        ("AISI 4340", "pass"),
        ("AISI 4140, chrome plated", "caution"),
        ("17-4 PH", "caution"),
        ("1.4340", "caution"),
        ("AISI 414", "caution"),
    ],
)
def test_target_material(material: str, result: str) -> None:
    assert check(proposed({"shaft_material": material}), "probe.target_material", "P1")["result"] == result


def test_4340_passes_with_a_note() -> None:
    found = check(proposed({"shaft_material": "AISI 4340"}), "probe.target_material", "P1")
    assert "4340 itself" in found["text"]


def test_unknown_material() -> None:
    found = check(proposed(), "probe.target_material", "P1")
    assert (found["result"], found["needs"]) == ("not_evaluated", "pinions[0].shaft_material")


# Allowed 6.35 um is 35 percent of the limit where A = 18.14 um, at 23 520 r/min.
@pytest.mark.parametrize(("speed_rpm", "result"), [(23_520, "pass"), (23_530, "caution")])
def test_runout_allowed(speed_rpm: float, result: str) -> None:
    found = check(proposed({"speed": speed_rpm}), "probe.runout", "P1")
    assert (found["result"], found["measured"]["value"]) == (result, pytest.approx(6.35))


def test_runout_of_the_bull_gear_is_a_quarter_of_its_limit() -> None:
    """A = 38.1 um at 1490 r/min, capped: a quarter is 9.525 um."""
    assert check(proposed(), "probe.runout", "BG")["measured"]["value"] == pytest.approx(9.525)


@pytest.mark.parametrize(
    ("speed_rpm", "runout_um", "result"),
    [
        (18_000, 6.35, "pass"),
        (18_000, 6.36, "fail"),
        (30_000, 6.36, "fail"),
        (30_000, 6.0, "caution"),  # A = 16.06: 35 percent is 5.62 um
        (30_000, 5.6, "pass"),
        (30_000, 0.0, "pass"),
    ],
)
def test_measured_runout(speed_rpm: float, runout_um: float, result: str) -> None:
    document = proposed({"speed": speed_rpm, "measured_runout": runout_um})
    assert check(document, "probe.runout", "P1")["result"] == result


@pytest.mark.parametrize(
    ("split_line", "angles", "result"),
    [
        ("horizontal", "vertical_horizontal", "caution"),
        ("vertical", "vertical_horizontal", "pass"),
        ("unknown", "vertical_horizontal", "not_evaluated"),
        ("horizontal", "plus_minus_45", "pass"),
        ("unknown", "plus_minus_45", "pass"),
    ],
)
def test_split_line(split_line: str, angles: str, result: str) -> None:
    document = proposed(split_line=split_line, installation={"probe_angles": angles})
    found = checks(document, "probe.split_line")
    assert {subject: row["result"] for subject, row in found.items()} == {"BG": result}


def test_split_line_is_clear_of_a_single_probe_on_top() -> None:
    document = proposed(service_class="packaged_air", split_line="horizontal")
    assert check(document, "probe.split_line", "BG")["result"] == "pass"


@pytest.mark.parametrize(
    ("driver_rpm", "result"), [(1530, "pass"), (1531, "caution"), (1470, "pass"), (1469, "caution")]
)
def test_coupling(driver_rpm: float, result: str) -> None:
    """2 percent of 1500 are 30 r/min."""
    document = proposed(
        bull_gear={"speed": 1500},
        driver={"kind": "induction_motor", "bearings": "sleeve", "speed": driver_rpm},
    )
    assert check(document, "speeds.coupling", "machine")["result"] == result


def test_no_coupling_check_with_an_input_pinion_or_an_assumed_speed() -> None:
    driver = {"kind": "steam_turbine", "speed": 9000}
    pinions = [{"speed": 9000, "role": "input"}, {"speed": 18000}]
    turned = proposed(bull_gear={"speed": 1500}, pinions=pinions, driver=driver)
    assert checks(turned, "speeds.coupling") == {}
    assumed = proposed(bull_gear={"speed": 1500}, driver={"kind": "steam_turbine"})
    assert checks(assumed, "speeds.coupling") == {}


# pi * 0.1 m * n/60 = 110 m/s at 21 008.5 r/min.
@pytest.mark.parametrize(("speed_rpm", "result"), [(21_008, "pass"), (21_009, "caution")])
def test_surface_speed(speed_rpm: float, result: str) -> None:
    document = proposed({"speed": speed_rpm, "journal_diameter": 100})
    assert check(document, "speeds.surface", "P1")["result"] == result


@pytest.mark.parametrize(
    ("clearance_mm", "result"), [(0.06, "pass"), (0.059, "caution"), (0.21, "pass"), (0.211, "caution")]
)
def test_clearance_per_mille(clearance_mm: float, result: str) -> None:
    document = proposed({"journal_diameter": 60, "diametral_clearance": clearance_mm})
    assert check(document, "clearance.per_mille", "P1")["result"] == result


def test_small_clearance_asks_whether_it_is_the_radial_one() -> None:
    document = proposed({"journal_diameter": 60, "diametral_clearance": 0.045})
    assert "adial entered as diametral?" in check(document, "clearance.per_mille", "P1")["text"]


def test_assumed_clearance_is_not_doubted() -> None:
    assert checks(proposed({"journal_diameter": 60}), "clearance.per_mille") == {}
