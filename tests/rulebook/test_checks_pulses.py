"""Checks of phase and overspeed pulses, each side of every threshold."""

from __future__ import annotations

from typing import Any

import pytest

from tests.rulebook.proposed import check, checks, proposed


def _notched(pinion: dict[str, Any] | None = None, **notch: Any) -> dict[str, Any]:
    return proposed(pinion, installation={"notch": notch})


def _turbine(speed_rpm: float, **installation: Any) -> dict[str, Any]:
    return proposed(
        {"speed": speed_rpm * 4},
        bull_gear={"speed": speed_rpm},
        driver={"kind": "steam_turbine", "speed": speed_rpm},
        installation=installation,
    )


def test_phase_pulses_once_a_turn_against_a_usual_input() -> None:
    found = check(proposed({"speed": 18000}), "pulse.rate", "P1/phase")
    assert (found["result"], found["measured"]["value"], found["limit"]["value"]) == ("pass", 300.0, 10_000.0)


@pytest.mark.parametrize(("limit_hz", "result"), [(300.0, "pass"), (299.9, "fail")])
def test_pulse_rate_against_the_input_told(limit_hz: float, result: str) -> None:
    document = proposed({"speed": 18000}, installation={"pulse_input_limit": limit_hz})
    assert check(document, "pulse.rate", "P1/phase")["result"] == result


def test_pulse_rate_counts_the_events_told() -> None:
    document = _notched({"speed": 18000}, events_per_turn=34)
    found = check(document, "pulse.rate", "P1/phase")
    assert (found["result"], found["measured"]["value"]) == ("fail", 10_200.0)


def test_width_of_a_short_pulse() -> None:
    """12 mm on 60 mm at 40 000 r/min last 95.5 us (computed); 12.6 mm would last 100 us."""
    document = _notched({"speed": 40000, "journal_diameter": 60}, width=12)
    found = check(document, "pulse.width", "P1/phase")
    assert found["result"] == "caution"
    assert found["measured"]["value"] == pytest.approx(95.5, abs=0.05)
    assert "Notch of at least 12.6 mm." in found["remedies"]


@pytest.mark.parametrize(("width_mm", "result"), [(12.57, "pass"), (12.56, "caution")])
def test_pulse_width_at_its_limit(width_mm: float, result: str) -> None:
    document = _notched({"speed": 40000, "journal_diameter": 60}, width=width_mm)
    assert check(document, "pulse.width", "P1/phase")["result"] == result


@pytest.mark.parametrize(
    ("pinion", "notch", "needs"),
    [
        ({"journal_diameter": 60}, {}, "installation.notch.width"),
        ({}, {"width": 12}, "pinions[0].journal_diameter"),
    ],
)
def test_pulse_width_names_what_is_missing(pinion: dict[str, Any], notch: dict[str, Any], needs: str) -> None:
    found = check(_notched(pinion, **notch), "pulse.width", "P1/phase")
    assert (found["result"], found["needs"]) == ("not_evaluated", needs)


def test_notch_wider_than_the_shaft_is_round_fails_instead_of_stopping() -> None:
    found = check(_notched({"journal_diameter": 20}, width=70), "pulse.width", "P1/phase")
    assert (found["result"], found["measured"]) == ("fail", None)


def test_height_over_a_usual_notch() -> None:
    """1.5 mm at 7.87 mV/um give 11.8 V (computed)."""
    found = check(_notched(depth=1.5), "pulse.height", "BG/phase")
    assert (found["result"], found["measured"]["value"]) == ("pass", pytest.approx(11.8, abs=0.01))


@pytest.mark.parametrize(("depth_mm", "result"), [(0.763, "pass"), (0.762, "caution")])
def test_pulse_height_at_its_limit(depth_mm: float, result: str) -> None:
    assert check(_notched(depth=depth_mm), "pulse.height", "P1/phase")["result"] == result


def test_height_of_an_unknown_notch() -> None:
    found = check(proposed(), "pulse.height", "P1/phase")
    assert (found["result"], found["needs"]) == ("not_evaluated", "installation.notch.depth")


@pytest.mark.parametrize(
    ("notch", "result"),
    [
        ({"depth": 1.5, "width": 12}, "pass"),
        ({"depth": 1.49, "width": 12}, "caution"),
        ({"depth": 1.5, "width": 11.9}, "caution"),
        ({"depth": 1.49}, "caution"),
        ({"depth": 1.5, "width": 12, "events_per_turn": 2}, "caution"),
        ({"depth": 1.5}, "not_evaluated"),
        ({"width": 12}, "not_evaluated"),
    ],
)
def test_notch_size(notch: dict[str, Any], result: str) -> None:
    assert check(_notched(**notch), "pulse.notch", "machine")["result"] == result


@pytest.mark.parametrize(("speed_rpm", "needed"), [(3000, 6), (1500, 12), (2900, 7)])
def test_events_for_overspeed_by_api_670(speed_rpm: float, needed: int) -> None:
    """API 670, 4th edition, 5.4.8.4 (published): 300 Hz; 6, 12 and, rounded up, 7 events a turn."""
    enough = check(_turbine(speed_rpm, notch={"events_per_turn": needed}), "overspeed.events", "M/overspeed")
    assert (enough["result"], enough["limit"]["value"]) == ("pass", 300.0)
    few = check(_turbine(speed_rpm, notch={"events_per_turn": needed - 1}), "overspeed.events", "M/overspeed")
    assert few["result"] == "caution"
    assert f"at least {needed} events" in few["remedies"][0]


def test_events_for_overspeed_not_told() -> None:
    slow = check(_turbine(3000), "overspeed.events", "M/overspeed")
    assert (slow["result"], slow["needs"]) == ("not_evaluated", "installation.notch.events_per_turn")
    assert check(_turbine(18000), "overspeed.events", "M/overspeed")["result"] == "pass"


def test_expander_pinion_is_checked_at_its_own_speed() -> None:
    document = proposed({"speed": 20000, "stages": [1, 2], "expander_stages": [2]})
    assert check(document, "overspeed.events", "P1/overspeed")["result"] == "pass"
    assert check(document, "pulse.rate", "P1/overspeed")["measured"]["value"] == pytest.approx(
        333.33, abs=0.01
    )


def test_no_pulses_without_phase_reference() -> None:
    document = proposed(service_class="packaged_air")
    for name in ("pulse.rate", "pulse.width", "pulse.height", "pulse.notch", "overspeed.events"):
        assert checks(document, name) == {}
