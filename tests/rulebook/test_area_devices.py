"""Markings of told devices, the two ignition data sets, and what an area admits.

Sources: public bank of training questions on explosion protection; IEC 60079-20-1:2010 and NFPA 497:2008
ignition temperatures; the rest IEC 60079-14 from memory.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from specapp.domain.problems import InputErrors
from specapp.rulebook.proposing import propose_document
from tests.rulebook.proposed import MINIMAL

HYDROGEN = {"zone": 1, "area_gases": ["hydrogen"]}


def marking_checks(devices: Any, area: Any = None, **changed: Any):
    proposal = propose_document(
        {**MINIMAL, "hazardous_area": area or HYDROGEN, "devices": devices, **changed}
    )
    return list({check.text: check for check in proposal.checks if check.check == "area.marking"}.values())


def only(marking: str, device: str = "probe", **changed: Any):
    (check,) = marking_checks({device: {"marking": marking}}, **changed)
    return check


@pytest.mark.parametrize(
    ("marking", "result"),
    [
        ("Ex ia IIC T4 Ga", "pass"),
        ("Ex ia IIC T4 Ga X", "caution"),
        ("Ex db IIB T4 Gb", "fail"),
        ("Ex ec IIC T3 Gc", "fail"),
        ("Ex IIC T4", "fail"),
        ("excellent", "fail"),
    ],
)
def test_markings_in_hydrogen_zone_1(marking, result):
    assert only(marking).result == result


def test_every_reason_is_named():
    text = only("Ex ec IIB T1 Gc", ambient={"maximum": "48 degC"}).text
    for reason in ("level Gc is marked", "group IIB is marked", "the site has 48 degC"):
        assert reason in text


def test_devices_of_a_loop_are_weighed_together_on_each_of_its_groups():
    devices = {
        "probe": {"marking": "Ex ia IIC T4 Ga"},
        "oscillator_demodulator": {"marking": "Ex ia IIB T4 Ga"},
        "resistance_thermometer": {"marking": "Ex ia IIC T4 Ga X"},
    }
    proposal = propose_document({**MINIMAL, "hazardous_area": HYDROGEN, "devices": devices})
    found = {check.subject: check for check in proposal.checks if check.check == "area.marking"}
    assert {found["P1/P1-1/radial"].result, found["P1/axial/A"].result} == {"fail"}
    assert found["P1/P1-1/temperature"].result == "caution"
    assert 'Probe, "Ex ia IIC T4 Ga": suits' in found["P1/P1-1/radial"].text
    assert len(found["P1/P1-1/radial"].remedies) == 1
    assert "machine" not in found


def test_told_ambient_range_of_a_device_counts_too():
    devices = {"probe": {"marking": "Ex ia IIC T4 Ga -40 °C ≤ Ta ≤ +80 °C", "ambient_maximum": 60}}
    for site, result in (("60 degC", "pass"), ("61 degC", "fail")):
        (check,) = marking_checks(devices, ambient={"maximum": site})
        assert check.result == result


@pytest.mark.parametrize(
    ("marking", "result"),
    [
        ("[Ex ia Ga] IIC", "pass"),
        ("[Ex ib Gb] IIC", "pass"),
        ("[Ex ic Gc] IIC", "fail"),
        ("[Ex ia Ga] IIB", "fail"),
        ("Ex ia IIC T4 Ga", "fail"),
        ("none", "fail"),
    ],
)
def test_isolator_by_its_brackets(marking, result):
    assert only(marking, "isolator").result == result


def test_a_device_of_no_loop_is_not_held_against_the_area():
    assert marking_checks({"trip_valve": {"marking": "Ex ec IIA T1 Gc"}}) == []


def test_no_marking_is_asked_in_an_unclassified_area():
    assert marking_checks({"probe": {"marking": "nonsense"}}, area="unclassified") == []


def test_group_that_no_gas_tells_is_not_evaluated():
    area = {"division": 1, "area_gases": ["carbon disulfide"]}
    (check,) = marking_checks({"probe": {"marking": "Ex ia IIC T4 Ga"}}, area=area)
    assert (check.result, check.needs) == ("not_evaluated", "hazardous_area.gas_group")


@settings(max_examples=60, deadline=None)
@given(st.text(min_size=1, max_size=60))
@example("Ex ia IIC T4 Ga\u200b")
@example("EX IA IIC T4 GA")
@example("Ex iа IIC T4 Ga")  # a Cyrillic а
@example("Ex ia iz IIC T4 Ga")
@example("[Ex ia Ga] IIC")
def test_what_is_not_understood_never_suits(text):
    try:
        checks = marking_checks({"probe": {"marking": text}}, installation={"protection": "flameproof"})
    except InputErrors:
        return
    for check in checks:
        assert check.result == "fail", text


def test_both_data_sets_where_they_disagree_and_which_governs():
    area = {"zone": 2, "area_gases": ["n-butane", "propane"]}
    notes = propose_document({**MINIMAL, "hazardous_area": area}).architecture.notes
    (note,) = [note for note in notes if note.startswith("Ignition temperatures differ")]
    assert "n-butane 372 degC (T2) by IEC, 288 degC (T3) by NFPA" in note
    assert "propane" not in note.partition("The lowest")[0]
    assert "The lowest governs: n-butane, 288 degC by NFPA, class T3" in note


def test_no_note_where_the_data_sets_agree():
    area = {"zone": 2, "area_gases": ["propane", "methane"]}
    notes = propose_document({**MINIMAL, "hazardous_area": area}).architecture.notes
    assert not [note for note in notes if note.startswith("Ignition temperatures differ")]


@pytest.mark.parametrize(
    ("area", "begins"),
    [
        (
            {"zone": 0, "gas_group": "IIC", "temperature_class": "T4"},
            "Level Ga admits: ia, ma, da, sa, op ",
        ),
        ({"division": 2, "gas_group": "C", "temperature_class": "T4"}, "Division 2 admits: whatever"),
    ],
)
def test_admitted_concepts_are_among_the_notes(area, begins):
    notes = propose_document({**MINIMAL, "hazardous_area": area}).architecture.notes
    assert any(note.startswith(begins) for note in notes)
