"""The descriptive system document: a sheet set a kind of loop, nothing verified on placeholders."""

import pytest

from specapp.documents.registry import DOCUMENTS
from specapp.rulebook.loop_types import loop_types
from specapp.rulebook.proposing import propose_document
from tests.documents.reading import pdf, text_of, without_spaces
from tests.documents.sample import NAMES, description, proposal

DOCUMENT = DOCUMENTS["descriptive_system"]
TOLD = {
    "isolator": {
        "uo_v": 28,
        "io_ma": 93,
        "po_w": 0.65,
        "co_nf": 650,
        "lo_mh": 4.2,
        "supply_minimum_v": 23,
        "series_resistance_ohm": 340,
        "marking": "[Ex ic Gc] IIB",
    },
    "oscillator_demodulator": {
        "ui_v": 28,
        "ii_ma": 140,
        "pi_w": 0.84,
        "ci_nf": 5,
        "li_uh": 10,
        "minimum_voltage_v": 17.5,
        "current_ma": 10,
    },
}


@pytest.mark.parametrize("name", NAMES)
def test_every_tag_stands_on_the_sheets_of_its_loop(name):
    machine = proposal(name)
    outline = [str(entry["/Title"]) for entry in pdf(DOCUMENT.render(machine)).outline[1:]]
    text = without_spaces(text_of(DOCUMENT.render(machine)))
    for loop in loop_types(machine.points):
        assert any(loop.title in title for title in outline)
        tags = [tag for point in loop.points for tag in (point.tags.values() or [point.tag])]
        assert f"Tagsofthissheet({len(tags)})" in text
        assert all(tag in text for tag in tags)


def test_placeholders_verify_nothing():
    text = text_of(DOCUMENT.render(proposal("contract_example")))
    assert "◐ placeholder" in text
    assert "● fits" not in text
    assert "● enough" not in text


def test_told_figures_are_compared_and_say_what_governs():
    machine = propose_document({**description("contract_example"), "devices": TOLD})
    text = text_of(DOCUMENT.render(machine))
    assert "● fits" in text
    assert "● enough" in text
    assert "fallback, to be confirmed" in text
    assert "▸ Bandwidth, governs" in text
    assert "figures of the isolator are those that its certificate gives for both together" in text


def test_a_device_that_bears_too_little_does_not_fit():
    weak = {**TOLD, "oscillator_demodulator": {**TOLD["oscillator_demodulator"], "ui_v": 24}}
    machine = propose_document({**description("contract_example"), "devices": weak})
    assert "▬ does not fit" in text_of(DOCUMENT.render(machine))


def test_bands_of_current_loops():
    text = text_of(DOCUMENT.render(proposal("minimal_packaged")))
    assert "No loop of this machine is intrinsically safe" in text
    for band in ("to 3.6 circuit fault, low", "3.6 to 3.8 uncertain", "20 to 20.5 above the range"):
        assert band in text
