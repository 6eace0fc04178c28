"""Documents of a stored proposal, word for word.

A change here says "not as before", not "wrong": look at the difference, then write the files anew with

    python -m tests.documents.test_golden

The drawings are left out, as they have tests of their own, and so is what every sheet repeats.
"""

from pathlib import Path
from unittest.mock import patch

import msgspec
import pytest

from specapp.documents.registry import DOCUMENTS
from specapp.domain.proposal import Proposal, proposal_bytes
from tests.documents.reading import sheet_texts
from tests.documents.sample import proposal

FOLDER = Path(__file__).resolve().parents[1] / "golden" / "documents"
STORED = FOLDER / "proposal.json"
GOLDEN = {
    "datasheet": FOLDER / "datasheet.txt",
    "channel_settings": FOLDER / "channel_settings.txt",
    "bill": FOLDER / "bill_of_materials.csv",
    "points": FOLDER / "points.csv",
    "setpoints": FOLDER / "setpoints.csv",
    "cause_and_effect": FOLDER / "cause_and_effect.csv",
    "responsibility": FOLDER / "responsibility.csv",
}


def as_text(key, stored):
    with (
        patch("specapp.documents.sections.architecture.set_scene"),
        patch("specapp.documents.sections.frequencies.set_scene"),
        patch("specapp.documents.sections.setpoints.set_scene"),
        patch("specapp.documents.book.draw_sheet"),
    ):
        data = DOCUMENTS[key].render(stored)
    if not data.startswith(b"%PDF"):
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    return (
        "\n\n".join(f"--- sheet {i} ---\n{text.strip()}" for i, text in enumerate(sheet_texts(data), 1))
        + "\n"
    )


@pytest.mark.parametrize("key", GOLDEN)
def test_document_reads_as_before(key):
    stored = msgspec.json.decode(STORED.read_bytes(), type=Proposal)
    assert as_text(key, stored) == GOLDEN[key].read_text(encoding="utf-8")


def regenerate():
    FOLDER.mkdir(parents=True, exist_ok=True)
    STORED.write_bytes(proposal_bytes(proposal("minimal_packaged")))
    stored = msgspec.json.decode(STORED.read_bytes(), type=Proposal)
    for key, path in GOLDEN.items():
        path.write_text(as_text(key, stored), encoding="utf-8")


if __name__ == "__main__":
    regenerate()
