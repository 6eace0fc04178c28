"""Schedules as comma-separated files: RFC 4180, CRLF, UTF-8 with a byte order mark.

The mark is there because the spreadsheet programs that open these files take a file without one for
a regional code page and show "Âµm"; readers that know UTF-8 skip it.
"""

from __future__ import annotations

import csv
from io import StringIO

from specapp.documents import schedules
from specapp.documents.cells import Cell, csv_text
from specapp.documents.options import Options
from specapp.documents.schedules import Schedule
from specapp.domain.proposal import Proposal


def bill(proposal: Proposal, options: Options) -> bytes:
    return csv_bytes(schedules.bill(proposal))


def points(proposal: Proposal, options: Options) -> bytes:
    return csv_bytes(schedules.instrument_index(proposal))


def setpoints(proposal: Proposal, options: Options) -> bytes:
    return csv_bytes(schedules.setpoints(proposal))


def cause_and_effect(proposal: Proposal, options: Options) -> bytes:
    return csv_bytes(schedules.cause_and_effect(proposal))


def responsibility(proposal: Proposal, options: Options) -> bytes:
    return csv_bytes(schedules.responsibility(proposal))


def csv_bytes(schedule: Schedule, note: str = "") -> bytes:
    """Return a schedule as a file; a number is written so that reading it gives the same number.

    A note is a line of its own before the headings.
    """
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    if note:
        writer.writerow([csv_text(note)])
    writer.writerow(schedule.headings)
    writer.writerows(map(_cell, row) for row in schedule.rows)
    return out.getvalue().encode("utf-8-sig", errors="replace")


def _cell(cell: Cell) -> str | int | float:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, str):
        return csv_text(cell)
    return int(cell) if isinstance(cell, float) and cell.is_integer() else cell
