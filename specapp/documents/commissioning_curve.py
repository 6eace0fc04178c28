"""The sheet of a loop curve: what was read, what it shows, pass or fail, the picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from specapp.documents.book import Book
from specapp.documents.fonts import BOLD
from specapp.documents.front import sheet_notes, title_block
from specapp.documents.marks import BAR, FULL
from specapp.documents.options import Options
from specapp.documents.scene_pdf import set_scene
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import number, prose, true_minus
from specapp.domain.proposal import Proposal
from specapp.drawings.signal_plots_curve import loop_curve_scene
from specapp.kernel.loop_curve import LoopCurve
from specapp.kernel.loop_curve_comparison import CurveComparison

TITLE: Final = "Loop curves of the probes"


@dataclass(frozen=True, slots=True)
class CurveSheet:
    """A curve of one point as it was taken: by whom and when, and as found before it where there is one."""

    point: str
    tag: str
    curve: LoopCurve
    taken_by: str = ""
    taken_on: str = ""
    material: str = ""
    as_found: LoopCurve | None = None
    comparison: CurveComparison | None = None


def render(proposal: Proposal, sheets: Sequence[CurveSheet], options: Options) -> bytes:
    """Return a sheet a curve as PDF, the same bytes for the same curves; a summary first."""
    book = Book(
        options,
        title_block(proposal, options, TITLE),
        sheet_notes(proposal),
        subject="Loop curves with scale factor, deviation, linear range and best gap voltage",
        cover=False,
    )
    book.section("Curves", landscape=False)
    if not sheets:
        book.paragraph("No curve has been entered.")
        return book.finish()
    rows = [
        (
            each.point,
            each.tag,
            _verdict(each.curve),
            f"{number(round(each.curve.average_v_per_mm, 3))} V/mm",
            f"{number(round(each.curve.linear_range_mm, 3))} mm",
            f"{number(round(each.curve.best_gap_v, 2))} V",
        )
        for each in sheets
    ]
    columns = (
        Column("Point", bold=True),
        Column("Tag"),
        Column("Verdict"),
        Column("Average scale factor", "right"),
        Column("Linear range", "right"),
        Column("Best gap voltage", "right"),
    )
    set_table(book, Table(columns, rows))
    for each in sheets:
        _sheet(book, each)
    return book.finish()


def _verdict(curve: LoopCurve) -> str:
    return f"{FULL} pass" if curve.passes else f"{BAR} fail"


def _sheet(book: Book, sheet: CurveSheet) -> None:
    curve = sheet.curve
    book.section(f"{sheet.point}, {sheet.tag}", landscape=False, new_sheet=True)
    book.paragraph(_verdict(curve), font=BOLD)
    for problem in curve.problems:
        book.paragraph(prose(problem), after=2)
    book.paragraph(
        true_minus(
            f"Largest error of an increment in the linear range "
            f"{curve.largest_increment_error_percent:.1f} percent, "
            f"largest deviation from the straight line {curve.largest_deviation_um:.1f} µm. "
            f"Best gap {curve.best_gap_v:.2f} V at {curve.best_gap_mm:.3g} mm."
        )
    )
    if sheet.comparison is not None:
        change = sheet.comparison
        book.paragraph(
            true_minus(
                f"As left against as found: scale factor {change.scale_factor_percent:+.1f} percent, gap "
                f"at the set "
                f"voltage {change.gap_shift_mm:+.3f} mm, largest difference {change.largest_um:.0f} µm."
            )
        )
    taken = [text for text in (sheet.material, sheet.taken_by, sheet.taken_on) if text]
    if taken:
        book.paragraph(", ".join(taken))
    title = "Output, deviation and increments over the gap"
    if sheet.as_found is not None:
        title += "; as found dashed"
    set_scene(book, loop_curve_scene(curve, key=sheet.point, title=title, as_found=sheet.as_found))
