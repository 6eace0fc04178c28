"""The datasheet as its reader finds it."""

import re
from concurrent.futures import ThreadPoolExecutor

import pytest

from specapp.documents.fonts import TEXT
from specapp.documents.front import CAUTION_LINE
from specapp.documents.ink import Ink
from specapp.documents.options import PAGE_SIZES, Options
from specapp.documents.registry import DOCUMENTS
from specapp.documents.sheet import Sheet
from tests.documents.reading import pdf, sheet_texts, text_of, without_spaces
from tests.documents.sample import (
    HEBREW,
    HOSTILE,
    IDEOGRAPHS,
    NAMES,
    hostile_proposal,
    proposal,
    proposal_with_long_names,
    rendered,
)

DATASHEET = DOCUMENTS["datasheet"]
SECTIONS = (
    "Governing documents",
    "Open points",
    "Assumptions",
    "Machine data",
    "Point schedule",
    "Setpoint schedule",
    "Setpoint basis",
    "Setpoint scales",
    "Installation checks",
    "Frequencies",
    "Hazardous area",
    "Drawings",
    "Architecture",
    "Cause and effect",
    "Process protection",
    "Trip reliability",
    "Bill of materials",
    "Responsibility matrix",
    "Reconciliation",
    "Criteria used",
    "Rules",
    "Reasons",
)


@pytest.fixture(scope="module")
def sheets():
    return rendered("datasheet", "contract_example")


@pytest.fixture(scope="module")
def words(sheets):
    return text_of(sheets)


@pytest.fixture(scope="module")
def hostile_sheets():
    return DATASHEET.render(hostile_proposal())


def test_every_sheet_says_which_of_how_many_it_is(sheets):
    texts = sheet_texts(sheets)
    for number, text in enumerate(texts, 1):
        assert f"{number} of {len(texts)}" in text


def test_outline_and_contents_lead_to_the_sections(sheets):
    reader = pdf(sheets)
    outline = [(item.title, reader.get_destination_page_number(item)) for item in reader.outline]
    assert [title for title, _ in outline[1:]] == [f"{i}  {title}" for i, title in enumerate(SECTIONS, 1)]
    texts = sheet_texts(sheets)
    cover = " ".join(texts[0].split())
    for title, page in outline[1:]:
        assert " ".join(title.split()) in " ".join(texts[page].split())
        assert " ".join(title.split()) in cover
    targets = [link.get_object()["/Dest"] for link in reader.pages[0]["/Annots"]]
    assert len(targets) == len(SECTIONS)


def test_metadata_and_language(sheets):
    reader = pdf(sheets)
    assert reader.metadata.title == "Datasheet, machinery monitoring and protection, K-4410 A, B"
    assert reader.root_object["/Lang"] == "en-GB"


def test_only_embedded_faces_are_used_on_a_sheet(sheets):
    resources = pdf(sheets).pages[3]["/Resources"]["/Font"]
    used = set(re.findall(rb"(/F\d+\+\d+) ", pdf(sheets).pages[3].get_contents().get_data()))
    assert used
    for name in used:
        descriptor = resources[name.decode()]["/FontDescriptor"].get_object()
        assert "/FontFile2" in descriptor


@pytest.mark.parametrize("name", NAMES)
def test_every_tag_and_every_number_of_the_bill_is_there(name):
    machine = proposal(name)
    text = without_spaces(text_of(rendered("datasheet", name)))
    for point in machine.points:
        for tag in point.tags.values() or (point.tag,):
            assert without_spaces(tag) in text
    for line in machine.bill_of_materials:
        assert without_spaces(line.item) in text


def test_verdict_stands_on_the_cover(sheets):
    cover = without_spaces(sheet_texts(sheets)[0])
    verdict = proposal("contract_example").verdict
    for line in (verdict.proposed, verdict.fails, verdict.needs_you, verdict.next_fact, verdict.standing):
        assert without_spaces(line) in cover
    assert without_spaces(f"{verdict.values_to_confirm} values to be confirmed") in cover


def test_cautions_stand_in_full_once_and_in_short_on_every_sheet(sheets, words):
    for caution in proposal("contract_example").cautions[1:]:
        assert words.count(caution) == 1
    assert CAUTION_LINE.startswith(proposal("contract_example").cautions[0])
    for text in sheet_texts(sheets):
        assert without_spaces(proposal("contract_example").cautions[0]) in without_spaces(text)


def test_title_block_holds_what_it_is_told():
    options = Options(
        project="Invented works",
        revision="B",
        prepared="A. Draft",
        checked="B. Check",
        standing="for enquiry",
        watermark="NOT ISSUED",
    )
    for text in sheet_texts(DATASHEET.render(proposal("minimal_packaged"), options)):
        for entry in ("Invented works", "B", "A. Draft", "B. Check", "for enquiry", "NOT ISSUED"):
            assert entry in text


@pytest.mark.parametrize("size", PAGE_SIZES)
def test_sheets_have_the_size_asked_for(size):
    upright = {"A4": (210, 297), "A3": (297, 420), "Letter": (215.9, 279.4), "Tabloid": (279.4, 431.8)}[size]
    for page in pdf(DATASHEET.render(proposal("minimal_packaged"), Options(size))).pages:
        sides = sorted(float(side) / 72 * 25.4 for side in (page.mediabox.width, page.mediabox.height))
        assert sides == pytest.approx(upright, abs=0.1)


@pytest.fixture
def reached(monkeypatch):
    """Left end, right end and height of every text set level on a sheet."""
    places = []
    plain = Ink.text

    def recorded(ink, x, y, line, font=TEXT, size=7.0):
        places.append((x, x + ink.lettering.width(line, font, size), y))
        plain(ink, x, y, line, font, size)

    monkeypatch.setattr(Ink, "text", recorded)
    return places


@pytest.mark.parametrize("size", PAGE_SIZES)
@pytest.mark.parametrize("key", ["datasheet", "channel_settings"])
def test_nothing_is_set_outside_the_frame(size, key, reached):
    for machine in (hostile_proposal(), proposal_with_long_names()):
        reached.clear()
        DOCUMENTS[key].render(machine, Options(size, "us", project="W" * 300))
        sheet = Sheet.of(size, landscape=True)
        assert min(left for left, _, _ in reached) >= 14
        assert max(right for _, right, _ in reached) <= sheet.width - 14
        assert min(y for _, _, y in reached) >= 14


@pytest.mark.parametrize("key", ["datasheet", "channel_settings"])
def test_nothing_is_set_over_the_title_block(key, reached, monkeypatch):
    monkeypatch.setattr("specapp.documents.book.draw_sheet", lambda *args: None)
    monkeypatch.setattr("specapp.documents.book.draw_sheet_number", lambda *args: None)
    for machine in (hostile_proposal(), proposal_with_long_names()):
        reached.clear()
        DOCUMENTS[key].render(machine, Options(display_units="us"))
        assert min(y for _, _, y in reached) >= Sheet.of("A4", landscape=True).body.bottom - 1


def test_sheets_written_at_the_same_time_do_not_disturb_each_other():
    names = ["minimal_packaged", "minimal_process"] * 3
    alone = {name: rendered("datasheet", name) for name in names}
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(lambda name: DATASHEET.render(proposal(name)), names))
    assert together == [alone[name] for name in names]


def test_reader_of_other_units_sees_both_and_the_setting_first():
    text = text_of(DATASHEET.render(proposal("minimal_process"), Options(display_units="us")))
    assert re.search(r"\d+ µm p-p \(= [\d.]+ mil p-p\)", text)
    assert " mil p-p)" not in text_of(rendered("datasheet", "minimal_process"))


def test_settings_in_us_units_convert_to_si():
    text = text_of(DATASHEET.render(proposal("us_units_process"), Options(display_units="si")))
    assert re.search(r"[\d.]+ mil p-p \(= [\d.]+ µm p-p\)", text)


def test_hostile_texts_are_printed_as_they_are(hostile_sheets):
    cover = without_spaces(sheet_texts(hostile_sheets)[0])
    assert without_spaces(HOSTILE) in cover


def test_characters_without_a_glyph_are_named_on_the_cover(hostile_sheets):
    cover = " ".join(sheet_texts(hostile_sheets)[0].split())
    for character in IDEOGRAPHS + HEBREW:
        assert f"U+{ord(character):04X}" in cover
    assert "▯▯▯ ▯▯▯▯ naïve" in cover
    assert "without a glyph" not in sheet_texts(rendered("datasheet", "minimal_process"))[0]


def test_override_and_its_reason_are_printed(hostile_sheets):
    text = without_spaces(text_of(hostile_sheets))
    assert without_spaces('=HYPERLINK("x") owner, clause 7.3 very very') in text
    assert "1.8†" in text


def test_trips_are_listed_with_their_reliability():
    machine = proposal("contract_example")
    text = without_spaces(text_of(rendered("datasheet", "contract_example")))
    assert machine.safety_functions
    for function in machine.safety_functions:
        assert without_spaces(function["title"]) in text
        if function["pfd_avg"] is not None:
            assert f"{function['pfd_avg']:.2E}".replace("-", "−") in text
