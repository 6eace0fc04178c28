"""Field schedules reconcile with the architecture, the bill and the cause-and-effect rows, every machine."""

import math
from collections import Counter
from io import BytesIO

import pytest
from openpyxl import load_workbook

from specapp.documents.field_schedules import (
    FIELD_SCHEDULES,
    alarms,
    box_terminals,
    boxes,
    cables,
    registers,
    relays,
    trains,
)
from specapp.documents.registry import DOCUMENTS
from specapp.rulebook.data_link import STATES, register_list
from tests.documents.reading import text_of, without_spaces
from tests.documents.sample import NAMES, proposal

EVERY = pytest.mark.parametrize("name", NAMES)


def column(schedule, heading):
    index = schedule.headings.index(heading)
    return [row[index] for row in schedule.rows]


@EVERY
def test_terminals_are_those_of_the_boxes(name):
    machine = proposal(name)
    rows = box_terminals(machine)
    found = Counter(zip(column(rows, "Box"), column(rows, "Train"), strict=True))
    used = Counter(box for box, tag in zip(column(rows, "Box"), column(rows, "Tag"), strict=True) if tag)
    for box in machine.architecture.junction_boxes:
        for train in trains(machine):
            assert found[box.key, train] == box.terminals + box.spare_terminals
        assert used[box.key] == box.terminals * len(trains(machine))
    assert len(found) == len(machine.architecture.junction_boxes) * len(trains(machine))


@EVERY
def test_every_terminal_of_a_box_once(name):
    rows = box_terminals(proposal(name))
    places = list(zip(column(rows, "Box"), column(rows, "Train"), column(rows, "Terminal"), strict=True))
    assert len(set(places)) == len(places)


@EVERY
def test_boxes_hold_every_point_once(name):
    machine = proposal(name)
    assert sum(column(boxes(machine), "Positions used")) == len(machine.points)


@EVERY
def test_cables_are_those_of_the_bill(name):
    machine = proposal(name)
    rows = cables(machine)
    assert len(rows.rows) == len(machine.architecture.cables) * len(trains(machine))
    for kind in set(column(rows, "Kind")):
        (line,) = [
            each
            for each in machine.bill_of_materials
            if each.item == "field_cable_" + kind.removeprefix("shielded ")
        ]
        lengths = [
            length
            for length, its in zip(column(rows, "Length, m"), column(rows, "Kind"), strict=True)
            if its == kind
        ]
        counted = len(lengths) if line.unit == "piece" else sum(lengths)
        assert math.ceil(round(counted, 6)) == line.quantity


@EVERY
def test_cable_tags_are_the_tags_of_the_points(name):
    machine = proposal(name)
    wanted = [tag for point in machine.points for tag in (point.tags.values() or [point.tag])]
    assert sorted(column(cables(machine), "Tag")) == sorted(wanted)


@EVERY
def test_relays_and_their_causes(name):
    machine = proposal(name)
    assert column(relays(machine), "Relay") == [relay.key for relay in machine.architecture.relays]
    by_relay = Counter(row.relay for row in machine.cause_and_effect if row.relay)
    for relay, count in zip(column(relays(machine), "Relay"), column(relays(machine), "Causes"), strict=True):
        assert by_relay[relay] == count


@EVERY
def test_alarm_list_is_cause_and_effect_and_process_protection(name):
    machine = proposal(name)
    levels = sum(bool(item.alarm) + bool(item.trip) for item in machine.process_protection)
    count = (len(machine.cause_and_effect) + levels) * len(trains(machine))
    assert len(alarms(machine).rows) == count


@EVERY
def test_registers_do_not_overlap_and_name_every_monitored_point(name):
    machine = proposal(name)
    found = register_list(machine)
    for rack in machine.architecture.racks:
        of_rack = [entry for entry in found if entry.rack == rack.key]
        taken = [entry.address + offset for entry in of_rack for offset in range(entry.size)]
        assert taken == list(range(len(taken)))
    monitored = {
        channel.point
        for rack in machine.architecture.racks
        for module in rack.modules
        for channel in module.channels
        if channel.point
    }
    states = [entry.point.key for entry in found if entry.point and entry.data_type == STATES]
    assert sorted(states) == sorted(monitored)
    readings = sum(1 + len(point.further_readings) for point in machine.points if point.key in monitored)
    gaps = sum(entry.content == "gap_voltage" for entry in found)
    values = sum(entry.data_type != STATES for entry in found)
    assert values == readings + gaps
    assert len(registers(machine).rows) == len(found)


def test_workbook_and_sheets_say_the_same():
    machine = proposal("contract_example")
    book = load_workbook(BytesIO(DOCUMENTS["schedules_workbook"].render(machine)))
    assert book.sheetnames == [make(machine).name for make in FIELD_SCHEDULES] + ["About"]
    for make in FIELD_SCHEDULES:
        schedule = make(machine)
        assert book[schedule.name].max_row == len(schedule.rows) + 1
    text = without_spaces(text_of(DOCUMENTS["schedules"].render(machine)))
    for cell in column(cables(machine), "Cable") + column(cables(machine), "Tag"):
        assert cell in text
    for relay in machine.architecture.relays:
        assert relay.key in text


def test_no_rack_has_neither_relays_nor_data_link():
    text = text_of(DOCUMENTS["schedules"].render(proposal("minimal_packaged")))
    assert "No data link: there is no rack." in text
    assert "No relays: alarms and trips act in the control system." in text
