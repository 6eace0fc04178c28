"""Tags.

Source: ISA-5.1-2009, identification letters (published): T temperature, S speed, V vibration, Z position
as first letters; E element, T transmitter. Y for a phase reference is a choice of this project.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from specapp.domain.proposal import Proposal
from specapp.rulebook.proposing import propose_document
from specapp.rulebook.rules.tags import LONGEST_TAG
from tests.rulebook.generated import NAMES, TAGS, TRAINS
from tests.rulebook.test_cases import MINIMAL

LETTER = {
    "radial_vibration": "V",
    "casing_vibration": "V",
    "axial_position": "Z",
    "phase_reference": "Y",
    "bearing_temperature": "T",
    "winding_temperature": "T",
    "overspeed": "S",
    "speed": "S",
}


def _proposal(**facts: Any) -> Proposal:
    return propose_document(MINIMAL | facts)


def _tag(key: str, **facts: Any) -> str:
    return next(point.tag for point in _proposal(**facts).points if point.key == key)


@pytest.mark.parametrize(
    ("machine", "tag"),
    [
        ("K-4410", "VE-4410-P11Y"),
        ("K4410", "VE-4410-P11Y"),
        ("21-K-4012", "21-VE-4012-P11Y"),
        ("K-4410/B", "VE-4410-B-P11Y"),
        ("C 401.2", "VE-401-2-P11Y"),
        ("4410", "VE-4410-P11Y"),
        ("AIR COMPRESSOR", "VE-AIR-COMPRESSOR-P11Y"),
        ("X", "VE-X-P11Y"),
        ("-K--4410-", "VE-4410-P11Y"),
        ("ABCDEFGHIJ-ABCDEFGHIJ-ABCDEFGHIJ-1234567", "VE-CDEFGHIJ-ABCDEFGHIJ-1234567-P11Y"),
    ],
)
def test_number_of_the_machine(machine: str, tag: str) -> None:
    found = _tag("P1/P1-1/radial/Y", tag=machine)
    assert len(found) <= LONGEST_TAG
    if len(machine) < LONGEST_TAG:
        assert found == tag
    else:
        assert found.endswith("1234567-P11Y")


@pytest.mark.parametrize(
    ("key", "facts", "tag"),
    [
        ("P2/P2-2/radial/X", {}, "VE-4410-P22X"),
        ("BG/B2/radial/Y", {}, "VE-4410-B2Y"),
        ("P1/axial/A", {}, "ZE-4410-P1A"),
        ("BG/phase", {}, "YE-4410-BG"),
        ("P1/P1-1/temperature/B", {}, "TE-4410-P11B"),
        ("BG/thrust/active/1", {}, "TE-4410-BGTA1"),
        ("M/overspeed/3", {"driver": {"kind": "gas_turbine"}}, "SE-4410-MS3"),
        ("M/speed/1", {"driver": {"kind": "variable_speed_motor"}}, "SE-4410-MN1"),
        ("M/winding/6", {"driver": {"kind": "induction_motor"}}, "TE-4410-MW6"),
        ("P1/P1-1/radial/Y", {"service_class": "packaged_air"}, "VT-4410-P11Y"),
        ("BG/axial/A", {"service_class": "packaged_air"}, "ZT-4410-BGA"),
    ],
)
def test_place_on_the_machine(key: str, facts: dict[str, Any], tag: str) -> None:
    assert _tag(key, **facts) == tag


def test_trains_carry_their_letter_behind_the_number() -> None:
    point = _proposal(trains=["A", "2"]).points[0]
    assert point.tag.count("4410") == 1
    assert point.tags == {"A": point.tag.replace("4410", "4410A"), "2": point.tag.replace("4410", "4410-2")}


def test_a_pinion_called_like_a_bearing_keeps_the_dash() -> None:
    pinions = [{"name": "P1", "speed": 18200}, {"name": "P11", "speed": 22000}]
    assert _tag("P1/P1-1/radial/Y", pinions=pinions) == "VE-4410-P1-1Y"
    assert _tag("P11/P11-1/radial/Y", pinions=pinions) == "VE-4410-P111Y"


@settings(max_examples=40, deadline=None)
@given(tag=TAGS, trains=TRAINS, names=st.lists(NAMES, min_size=2, max_size=2, unique_by=str.upper))
def test_tags_are_distinct_and_say_what_is_measured(tag: str, trains: list[str], names: list[str]) -> None:
    pinions = [{"name": name, "speed": speed} for name, speed in zip(names, (18200, 22000), strict=True)]
    proposal = _proposal(tag=tag, trains=trains, pinions=pinions, driver={"kind": "gas_turbine"})
    tags = [each for point in proposal.points for each in (point.tag, *point.tags.values())]
    assert len({each.upper() for each in tags}) == len(tags) == len(proposal.points) * (1 + len(trains))
    assert max(map(len, tags)) <= LONGEST_TAG
    for point in proposal.points:
        assert f"{LETTER[point.quantity]}E" in point.tag
