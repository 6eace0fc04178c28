"""The papers of an enquiry: the same bytes again, every requirement a clause, hostile words only words."""

from io import BytesIO

import msgspec
import pypdf
import pytest

from specapp.documents.enquiry_papers import PAPERS, render
from specapp.documents.options import Options
from specapp.evaluation.clauses import clauses_of
from specapp.evaluation.enquiry import ScopeRow
from tests.evaluation.forms import sheet

HOSTILE = "<b>x</b> & (\\) \u0000=1+1"


def _scoped():
    row = ScopeRow("probe", "Probes", (("K-4410", "machine_maker"),))
    return msgspec.structs.replace(sheet(), scope=(row,), method="lowest evaluated price")


def _text(data):
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(data)).pages)


@pytest.mark.parametrize("paper", PAPERS)
def test_a_paper_is_the_same_again_and_names_its_enquiry(paper):
    data = render(_scoped(), paper, Options())
    assert data == render(_scoped(), paper, Options())
    assert "ENQ-7" in _text(data)


def test_every_requirement_is_a_clause_with_a_number_of_its_own():
    clauses = clauses_of(_scoped())
    numbers = [number for number, _ in clauses]
    assert len(set(numbers)) == len(numbers)
    assert sum("." in number for number in numbers) >= len(sheet().asked.requirements)
    assert not any("{" in text for _, text in clauses)


def test_clauses_change_by_number_and_an_empty_one_is_left_out():
    changed = msgspec.structs.replace(_scoped(), clauses=(("1.1", "Other words."), ("1.2", "")))
    clauses = dict(clauses_of(changed))
    assert clauses["1.1"] == "Other words."
    assert "1.2" not in clauses
    assert "1.3" in clauses


def test_one_person_opening_is_printed():
    alone = msgspec.structs.replace(_scoped(), one_person_opening=True)
    assert "One person of the purchaser opens" in _text(render(alone, "specification", Options()))


def test_hostile_words_are_words():
    hostile = msgspec.structs.replace(_scoped(), title=HOSTILE, reference="ENQ <i>7</i>")
    assert "<b>x</b>" in _text(render(hostile, "specification", Options()))
