"""Setting sheets: one a channel, in the order of the signal, and no held value on them."""

import re

import pytest

from specapp.documents.registry import DOCUMENTS
from specapp.documents.wording import prose
from tests.documents.reading import sheet_texts, without_spaces
from tests.documents.sample import proposal, proposal_with_hold

STEPS = ("Target", "Transducer", "Scale", "Measured quantity", "Band", "Level", "Time", "Action", "Output")


@pytest.fixture(scope="module")
def held_sheets():
    texts = sheet_texts(DOCUMENTS["channel_settings"].render(proposal_with_hold()))
    return texts[-len(proposal_with_hold().points) :]


def test_one_sheet_a_point_with_the_steps_in_order():
    machine = proposal("published_air_compressor")
    texts = sheet_texts(DOCUMENTS["channel_settings"].render(machine))
    for text, point in zip(texts[-len(machine.points) :], machine.points, strict=True):
        assert point.tag in text
        places = [text.index(f"\n{step}") for step in STEPS]
        assert places == sorted(places)


def test_held_setpoints_are_not_released_and_say_why(held_sheets):
    machine = proposal_with_hold()
    held = [
        (text, point)
        for text, point in zip(held_sheets, machine.points, strict=True)
        if point.setpoints.alarm is not None and point.setpoints.alarm.status == "hold"
    ]
    assert held
    for text, point in held:
        assert "held: not released" in text
        why = next(
            check
            for check in machine.checks
            if check.check == "setpoint.clearance_below_acceptance" and check.subject == point.voting_group
        )
        assert why.result == "fail"
        assert without_spaces(prose(why.text)) in without_spaces(text)
        level = text[text.index("\nLevel") : text.index("\nTime")]
        assert not re.search(rf"^Alarm\s+{point.setpoints.alarm.value:g} µm", level, re.MULTILINE)


def test_proposed_setpoints_are_released(held_sheets):
    machine = proposal_with_hold()
    for text, point in zip(held_sheets, machine.points, strict=True):
        alarm = point.setpoints.alarm
        if alarm is not None and alarm.status == "proposed" and alarm.unit == "um":
            assert f"{alarm.value:g} µm p-p" in text


def test_placeholders_are_marked(held_sheets):
    machine = proposal_with_hold()
    marked = [
        text
        for text, point in zip(held_sheets, machine.points, strict=True)
        if point.setpoints.alarm is not None and point.setpoints.alarm.status == "placeholder"
    ]
    assert marked
    for text in marked:
        assert "placeholder, to be replaced" in text


def test_channel_of_the_rack_is_named(held_sheets):
    machine = proposal_with_hold()
    places = {
        channel.point: (rack.key, module.slot, channel.channel)
        for rack in machine.architecture.racks
        for module in rack.modules
        for channel in module.channels
    }
    for text, point in zip(held_sheets, machine.points, strict=True):
        if point.key in places:
            rack, slot, channel = places[point.key]
            sheet = " ".join(text.split())
            assert f"rack {rack}, place {slot} (" in sheet
            assert f"channel {channel}, fault group" in sheet


def test_opening_sheets_hold_the_cautions_and_every_channel():
    machine = proposal_with_hold()
    texts = sheet_texts(DOCUMENTS["channel_settings"].render(machine))
    opening = " ".join(" ".join(texts[: -len(machine.points)]).split())
    assert all(caution in opening for caution in machine.cautions)
    assert all(point.tag in opening for point in machine.points)
    assert opening.count("▬ hold") == 4
