"""The datasheet beside a bare document of the same sheets and cells.

The bare document is what the PDF library's own layout makes of the same strings: one table a sheet, the
same face, a rule under each row, no wrapping, no frame, no drawings. Times are processor times, so that
other work on the computer does not count.

The limit of 250 ms is for a computer on which the library sets six pages of three tables with forty rows
in 16.9 ms; the run measures that document too and scales the limit on a slower one.
"""

import gc
from io import BytesIO
from statistics import median
from time import process_time

import pytest
from reportlab.lib.pagesizes import A4, landscape
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import PageBreak, SimpleDocTemplate, Table, TableStyle

from specapp.documents import tables
from specapp.documents.fonts import TEXT, face
from specapp.documents.registry import DOCUMENTS
from tests.documents.reading import pdf
from tests.documents.sample import proposal

LIMIT_MS = 250.0
REFERENCE_MS = 16.9
MOST_TIMES_BARE = 4.0


def median_ms(make, rounds=5):
    make()
    times = []
    for _ in range(rounds):
        gc.collect()
        start = process_time()
        make()
        times.append((process_time() - start) * 1000)
    return median(times)


def bare_document(grids, font):
    """Set grids of strings, one a page, with the library's own layout."""
    out = BytesIO()
    style = TableStyle([("FONT", (0, 0), (-1, -1), font, 6), ("LINEBELOW", (0, 0), (-1, -1), 0.25, "black")])
    story = []
    for grid in grids:
        width = max(map(len, grid))
        rows = [[*row, *[""] * (width - len(row))] for row in grid]
        story += [Table(rows, colWidths=760 / width, rowHeights=9, style=style), PageBreak()]
    SimpleDocTemplate(out, pagesize=landscape(A4), topMargin=20, bottomMargin=20, invariant=1).build(story)
    return out.getvalue()


def grids_of_datasheet(machine, monkeypatch):
    """Return the rows of all schedules of a datasheet, dealt out over as many pages as it has."""
    rows = []
    setting = tables._Setter.set

    def collecting(setter):
        rows.extend(list(row) for row in setter.cells if not isinstance(row, tables.Group))
        setting(setter)

    with monkeypatch.context() as patch:
        patch.setattr(tables._Setter, "set", collecting)
        pages = len(pdf(DOCUMENTS["datasheet"].render(machine)).pages)
    share = -(-len(rows) // pages)
    return [rows[start : start + share] for start in range(0, len(rows), share)]


@pytest.fixture(scope="module")
def slowness():
    """How many times slower than the reference this computer sets the library's own small document."""
    grid = [[f"cell {row} {column}" for column in range(6)] for row in range(40)]
    return max(1.0, median_ms(lambda: bare_document([grid[:20], grid[20:]] * 3, "Helvetica")) / REFERENCE_MS)


def test_datasheet_of_eight_stages_on_four_pinions(monkeypatch, slowness, record_property):
    machine = proposal("eight_stage")
    pdfmetrics.registerFont(face(TEXT))
    grids = grids_of_datasheet(machine, monkeypatch)
    ours = median_ms(lambda: DOCUMENTS["datasheet"].render(machine))
    bare = median_ms(lambda: bare_document(grids, TEXT))
    record_property("datasheet_ms", round(ours, 1))
    record_property("bare_ms", round(bare, 1))
    record_property("slowness", round(slowness, 2))
    print(f"datasheet {ours:.0f} ms, bare document {bare:.0f} ms, computer {slowness:.1f} times slower")
    assert ours <= MOST_TIMES_BARE * bare
    assert ours <= LIMIT_MS * slowness


def test_workbook_and_setting_sheets_are_quick_too(slowness):
    machine = proposal("eight_stage")
    assert median_ms(lambda: DOCUMENTS["bill_workbook"].render(machine), 3) <= 250 * slowness
    assert median_ms(lambda: DOCUMENTS["channel_settings"].render(machine), 3) <= 250 * slowness
