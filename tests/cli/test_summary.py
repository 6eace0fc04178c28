"""The one-screen summary: it fits, it tells the settings, and a display in other units changes none."""

import re

import pytest
from msgspec.structs import replace

from specapp.cli.summary import summary
from specapp.rulebook.proposing import propose_document
from tests.cli.conftest import MACHINES

SAMPLES = sorted(MACHINES.glob("*.json"))


@pytest.fixture(scope="module")
def proposal_of():
    made = {}

    def _proposal(name):
        if name not in made:
            made[name] = propose_document((MACHINES / f"{name}.json").read_bytes())
        return made[name]

    return _proposal


@pytest.mark.parametrize("display", [None, "si", "us"])
@pytest.mark.parametrize("sample", [path.stem for path in SAMPLES])
def test_it_fits_on_a_screen(proposal_of, sample, display):
    lines = summary(proposal_of(sample), display).splitlines()
    assert len(lines) <= 45
    assert max(map(len, lines)) <= 100
    assert all(line.isprintable() and line == line.rstrip() for line in lines)


@pytest.mark.parametrize("sample", [path.stem for path in SAMPLES])
def test_every_bearing_with_probes_has_its_line_with_alarm_and_trip(proposal_of, sample):
    proposal = proposal_of(sample)
    text = summary(proposal)
    for point in proposal.points:
        if point.quantity == "radial_vibration" and point.setpoints.trip:
            settings = f"{point.setpoints.alarm.value:g}/{point.setpoints.trip.value:g}"
            assert re.search(
                rf"^{point.bearing}\b.*\b{re.escape(settings)} .*{point.setpoints.trip.voting}", text, re.M
            )


def test_a_display_in_other_units_stands_beside_the_setting(proposal_of):
    plain = summary(proposal_of("eight_stage"))
    shown = summary(proposal_of("eight_stage"), "us")
    assert summary(proposal_of("eight_stage"), "si") == plain
    assert "29/50 µm p-p 1oo2" in plain
    assert "29/50 µm p-p (= 1.14/1.97 mil) 1oo2" in shown
    assert "110/120 °C = 230/248 °F" in shown


def test_us_settings_are_shown_in_si_beside_their_own(proposal_of):
    shown = summary(proposal_of("us_units_process"), "si")
    assert "2.5/3.5 mil p-p (= 63.5/88.9 µm) 1oo2" in shown
    assert re.search(r"±14\.5/18\.5 mil \(= ±0\.37/0\.47 mm\) 2oo2", shown)


def test_failing_checks_open_points_and_the_bill_are_named(proposal_of):
    text = summary(proposal_of("contract_example"))
    assert re.search(r"^  fail +cable\.bandwidth, BG/phase and \d+ more: ", text, re.M)
    assert re.search(r"^maker +to be asked for ", text, re.M)
    assert re.search(r"^bill +46 proximity probe 8mm", text, re.M)
    assert "Setpoints are proposals" in text


def test_a_held_setting_cannot_be_overlooked(proposal_of):
    proposal = proposal_of("minimal_process")
    points = [
        replace(
            point,
            setpoints=replace(point.setpoints, trip=replace(point.setpoints.trip, status="hold")),
        )
        if point.voting_group == "P1/P1-1/radial"
        else point
        for point in proposal.points
    ]
    lines = summary(replace(proposal, points=tuple(points))).splitlines()
    assert [line.split()[0] for line in lines if "HOLD " in line] == ["P1-1"]


def test_text_of_users_cannot_steer_the_terminal(proposal_of):
    proposal = proposal_of("minimal_process")
    machine = {**proposal.machine, "title": "a\x1b[31mred\nline\u202e"}
    text = summary(replace(proposal, machine=machine))
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert text.splitlines()[0].startswith("K-1210   a\\x1b[31mred\\nline\\u202e")


def test_checks_beyond_the_screen_are_counted(proposal_of):
    proposal = proposal_of("ten_stage")
    first = next(check for check in proposal.checks if check.result == "caution")
    many = tuple(replace(first, check=f"invented.check_{number}") for number in range(30))
    text = summary(replace(proposal, checks=many))
    assert len(text.splitlines()) <= 45
    assert re.search(r"and \d+ more, all in the datasheet", text)
