"""Every document of every sample machine, and what holds for all of them."""

import subprocess
import sys

import pytest

from specapp.documents.options import PAGE_SIZES, Options
from specapp.documents.registry import DOCUMENTS
from tests.documents.sample import NAMES, hostile_proposal, proposal, rendered

STARTS = {
    "application/pdf": b"%PDF-",
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet": b"PK\x03\x04",
    "text/csv; charset=utf-8": b"\xef\xbb\xbf",
    "image/svg+xml": b"<svg ",
    "application/json": b"{",
}


def test_file_names_are_those_of_the_contract():
    assert {document.filename for document in DOCUMENTS.values()} == {
        "datasheet.pdf",
        "bill_of_materials.xlsx",
        "bill_of_materials.csv",
        "points.csv",
        "setpoints.csv",
        "cause_and_effect.csv",
        "responsibility.csv",
        "channel_settings.pdf",
        "verification_report.pdf",
        "descriptive_system_document.pdf",
        "hand_sheets.pdf",
        "schedules.pdf",
        "schedules.xlsx",
        "pocket_cards.pdf",
        "questions.pdf",
        "questions.xlsx",
        "factory_checklist.pdf",
        "site_checklist.pdf",
        "layout.svg",
        "architecture.svg",
        "proposal.json",
    }


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("key", DOCUMENTS)
def test_every_document_of_every_machine_is_written_twice_alike(name, key):
    document = DOCUMENTS[key]
    first = rendered(key, name)
    assert first.startswith(STARTS[document.media_type])
    assert document.render(proposal(name)) == first


@pytest.mark.parametrize("size", PAGE_SIZES)
@pytest.mark.parametrize("key", DOCUMENTS)
def test_hostile_texts_stop_no_document_on_no_paper(size, key):
    options = Options(size, "us", project="=2+3 漢字\x07\u202e", prepared="&&P", watermark="NOT ISSUED")
    assert DOCUMENTS[key].render(hostile_proposal(), options)


def test_registry_is_imported_without_the_writing_libraries():
    code = (
        "import sys, specapp.documents.registry;"
        "print(sorted({m.partition('.')[0] for m in sys.modules} & {'reportlab', 'xlsxwriter', 'django'}))"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


def test_unknown_page_size_names_those_allowed():
    with pytest.raises(ValueError, match="page_size: found 'A5', allowed are A4, A3, Letter, Tabloid"):
        Options(page_size="A5")


def test_unknown_display_units_name_those_allowed():
    with pytest.raises(ValueError, match="display_units: found 'metric', allowed are si and us"):
        Options(display_units="metric")
