"""Records of commissioning as sheets."""

from dataclasses import replace

from specapp.commissioning.models import Checklist, Part
from specapp.commissioning.presenting.checklists import lines_of
from specapp.documents.commissioning_checklist import Filled, Signed, render_filled
from specapp.documents.options import Options
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
        standing=f"{invented}{'signed' if tested else 'not signed'}, from {row.basis}",
        prepared=tested.person_name if tested else "",
        checked=witnessed.person_name if witnessed else "",
        issued_on=tested.signed_at.strftime(_DAY) if tested else "",
    )
    proposal = content_of(row.content_id).proposal
    return render_filled(proposal, options, row.stage, [line.item for line in lines], filled, signed)
