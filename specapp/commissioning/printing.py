"""Records of commissioning as sheets."""

from dataclasses import replace

from specapp.bench.measuring.probes import CURVE
from specapp.bench.measuring.registry import KINDS, subject_of
from specapp.commissioning.models import Checklist, Part
from specapp.commissioning.presenting.checklists import lines_of
from specapp.commissioning.presenting.measurements import (
    Line,
    change_of,
    curve_scene,
    data_lines,
    machine_lines,
)
from specapp.documents import commissioning_records
from specapp.documents.commissioning_checklist import Filled, Signed, render_filled
from specapp.documents.commissioning_records import RecordRow
from specapp.documents.options import Options
from specapp.domain.proposal import Proposal
from specapp.projects.models import Machine
from specapp.revisions.content import content_of

_DAY = "%Y-%m-%d"


def filled_sheets(row: Checklist, options: Options) -> bytes:
    """Return a checklist with what came of it, and who signed, as PDF."""
    lines = lines_of(row)
    filled = {
        line.item.key: Filled(
            line.state,
            line.entry.as_found,
            line.entry.as_left,
            line.entry.remark,
            f"{line.entry.person_name}, {line.entry.entered_at.strftime(_DAY)}",
            line.entry.is_correction,
        )
        for line in lines
        if line.entry is not None
    }
    rows = list(row.signatures.all())
    total = row.entries.count()
    signed = [
        Signed(
            each.get_part_display(),
            each.person_name,
            each.signed_at.strftime("%Y-%m-%d %H:%M UTC"),
            each.checksum,
            total - each.entry_count,
        )
        for each in rows
    ]
    tested = next((each for each in reversed(rows) if each.part == Part.TESTED), None)
    witnessed = next((each for each in reversed(rows) if each.part == Part.WITNESSED), None)
    invented = "invented, " if row.machine.project.is_invented else ""
    options = replace(
        options,
        standing=f"{invented}{'signed' if tested else 'not signed'}",
        revision=row.revision.label if row.revision else "working",
        prepared=tested.person_name if tested else "",
        checked=witnessed.person_name if witnessed else "",
        issued_on=tested.signed_at.strftime(_DAY) if tested else "",
    )
    proposal = content_of(row.content_id).proposal
    items = [line.item for line in lines]
    return render_filled(proposal, options, row.stage, str(row), items, filled, signed)


def measured_sheets(machine: Machine, proposal: Proposal, options: Options) -> bytes:
    """Return the records of a machine that stand, as PDF."""
    rows = [_row(line, machine, proposal) for line in machine_lines(machine) if not line.is_corrected]
    return commissioning_records.render(proposal, rows, options)


def _row(line: Line, machine: Machine, proposal: Proposal) -> RecordRow:
    row, judged, kind = line.row, line.judged, KINDS[line.row.kind]
    row.machine = machine
    subject = subject_of(proposal, kind, row.item)
    change = change_of(row)
    is_curve = kind is CURVE
    return RecordRow(
        kind=line.title,
        item=row.item,
        tags=row.tags,
        condition=row.get_condition_display() + (f", train {row.train}" if row.train else ""),
        passes=judged.passes,
        written=data_lines(kind.fields(subject), row.data) if subject else (),
        results=judged.results,
        limits=judged.limits,
        problems=judged.problems,
        remark=row.remark,
        by=", ".join(filter(None, (row.person_name, row.measured_on.isoformat(), row.instrument))),
        rule=judged.rule,
        source=judged.source,
        change=change.text if change else "",
        scene=curve_scene(row, change.before if change else None) if is_curve else None,
    )
