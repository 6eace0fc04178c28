"""Hand sheets: no answer on a front, the answer on its back, every worked setpoint on one leaf."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from pypdf import PdfReader

from specapp.documents.hand_sheet import render
from specapp.documents.options import Options
from specapp.domain.overrides import Override
from specapp.rulebook.proposing import propose_document
from specapp.rulebook.worked_calculation import worked_calculations
from tests.rulebook.moved import sample

SAMPLES = (
    "minimal_packaged",
    "contract_example",
    "eight_stage",
    "turbine_driven_hydrogen",
    "us_units_process",
)


def pages_of(name: str, size: str = "A4") -> list[str]:
    content = render(propose_document(sample(name)), Options(page_size=size))  # type: ignore[arg-type]
    return [page.extract_text() for page in PdfReader(BytesIO(content)).pages]


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("name", SAMPLES)
def test_fronts_and_backs_take_turns(name: str, size: str) -> None:
    pages = pages_of(name, size)
    assert len(pages) % 2 == 0
    for front, back in zip(pages[::2], pages[1::2], strict=True):
        assert "To be worked out" in front
        assert "governs:" not in front
        assert "Answers: " in back


@pytest.mark.parametrize("name", SAMPLES)
def test_every_worked_setpoint_is_on_a_leaf(name: str) -> None:
    proposal = propose_document(sample(name))
    text = "\n".join(pages_of(name))
    for point in proposal.points:
        if any(item.lines for item in worked_calculations(proposal, point)):
            assert point.tag in text


def test_the_answer_is_on_the_back_alone() -> None:
    pages = pages_of("contract_example")
    front = next(number for number, page in enumerate(pages) if "P1/P1-1/radial" in page)
    assert "1.5 × A" in pages[front]
    assert "30.94" not in pages[front]
    assert "1.5 × 20.62" in pages[front + 1]
    assert "30.94 µm p-p" in pages[front + 1]
    assert "rounded down to 25 µm" in pages[front + 1]


def _set_by_hand(field: str, value: float, group: str = "P1/P1-1/radial") -> list[str]:
    own = Override(group, field, value, "As <b>agreed</b>, clause 7.3.", "A. Person", "2026-03-02T09:30")
    content = render(propose_document(sample("contract_example"), overrides=[own]), Options(page_size="A4"))
    return [page.extract_text() for page in PdfReader(BytesIO(content)).pages]


def test_of_a_trip_set_by_hand_the_rules_is_worked_out_and_the_one_in_force_stands_apart() -> None:
    ruled, pages = pages_of("contract_example"), _set_by_hand("trip", 41.0)
    place = "P1/P1-1/radial"
    was = next(page for page in ruled if f"Answers: radial vibration, {place}" in page)
    front, back = (
        next(page for page in pages if f"{side}: radial vibration, {place}" in page)
        for side in ("To be worked out", "Answers")
    )
    trip = " ".join(was[was.index("Trip\n") :].split())
    rounding = re.search(r"Setting: (radial[.]\w+ governs: [\d.]+ µm, rounded down to \d+ µm)", trip)
    assert rounding
    assert f"Setting by the rule: {rounding[1]}" in " ".join(back.split())
    assert back.count("governs") == was.count("governs")
    assert "Setting by the rule: the one that governs, rounded down" in front
    assert "governs:" not in front
    for page in (front, back):
        told = " ".join(page.split())
        assert "In force: 41 µm, set by A. Person on 2026-03-02 in place of the rule's value: " in told
        assert "As <b>agreed</b>, clause 7.3." in told


def test_a_two_sided_one_is_told_with_both_sides() -> None:
    told = " ".join(" ".join(_set_by_hand("trip", 0.4, "BG/axial")).split())
    assert "In force: ±0.4 mm, set by A. Person" in told
    assert "on the other side" in told
