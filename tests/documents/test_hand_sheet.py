"""Hand sheets: no answer on a front, the answer on its back, every worked setpoint on one leaf."""

from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader

from specapp.documents.hand_sheet import render
from specapp.documents.options import Options
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
