"""The report of the bench: shapes and words of the matrix, a sheet a picture, the same bytes again."""

from dataclasses import replace

import msgspec
import pytest

from specapp.bench.running import run_bench
from specapp.documents.bench_report import cell_text, render
from specapp.documents.options import Options
from tests.bench.ground import proposal_of
from tests.documents.reading import sheet_texts, text_of

FUNCTIONS = ("P1/P1-1/radial", "BG/B1/casing")
SCENARIOS = ("step_above_trip", "one_sided_spikes", "slow_sampling", "whirl")


@pytest.fixture(scope="module")
def result():
    return run_bench(proposal_of(), functions=FUNCTIONS, scenarios=SCENARIOS)


@pytest.fixture(scope="module")
def report(result):
    return render(proposal_of(), result, Options())


def test_matrix_in_shapes_and_words(result, report):
    words = {(cell.function, cell.scenario): cell_text(cell) for cell in result.cells}
    assert words["P1/P1-1/radial", "step_above_trip"] == "● trips"
    assert words["P1/P1-1/radial", "one_sided_spikes"] == "● quiet"
    assert words["P1/P1-1/radial", "slow_sampling"] == "○ open"
    assert words["BG/B1/casing", "whirl"] == "–"
    assert words["BG/B1/casing", "one_sided_spikes"] == "▬ needless"
    text = text_of(report)
    for word in ("● trips", "○ open", "▬ needless", "installation.sample_rate", "Mended by delay"):
        assert word in text


def test_a_sheet_for_each_picture(result, report):
    assert len(result.plots) == 3
    for plot in result.plots:
        assert sum(plot.title in sheet for sheet in sheet_texts(report)) == 1


def test_same_bytes_again(result, report):
    assert render(proposal_of(), result, Options()) == report


def test_a_result_of_another_proposal_is_refused(result):
    other = msgspec.structs.replace(proposal_of(), criteria_digest="sha256 of others")
    with pytest.raises(ValueError, match="run the bench again"):
        render(other, result, Options())


def test_a_tight_cell_is_a_half_circle(result):
    cell = next(cell for cell in result.cells if cell_text(cell) == "● trips")
    assert cell_text(msgspec.structs.replace(cell, tight=True)) == "◐ trips"


def test_paper_sizes(result):
    for size in ("A3", "Letter"):
        assert text_of(render(proposal_of(), result, replace(Options(), page_size=size)))
