"""As-built setpoints as rows for page, sheets and files."""

from collections.abc import Iterable

from django.utils import timezone

from specapp.commissioning.services.as_built import AsBuiltLine
from specapp.documents.as_built import AsBuiltRow


def printed_rows(lines: Iterable[AsBuiltLine]) -> list[AsBuiltRow]:
    return [_row(line) for line in lines]


def _left_by(line: AsBuiltLine) -> str:
    left = line.left
    if left is None:
        return ""
    of_all = ", for all trains" if line.train and not line.left_train else ""
    return f"{left.person}, {left.document}, {left.dated}{of_all}"


def _row(line: AsBuiltLine) -> AsBuiltRow:
    left, reason = line.left, line.reason
    by = f"{reason.person_name}, {timezone.localdate(reason.written_at)}" if reason else ""
    return AsBuiltRow(
        tags=line.tags,
        item=line.item,
        level=line.level,
        unit=line.specified.unit,
        specified=line.specified.value,
        specified_low=line.specified.low,
        left=left.value if left else None,
        left_low=left.low if left else None,
        state=line.state,
        reason=reason.reason if reason else "",
        change_number=reason.change_number if reason else "",
        explained_by=by,
        left_by=_left_by(line),
        gaps=", ".join(f"{tag} {volts:g}" for tag, volts in line.gaps),
    )
