"""The register of reference documents as a table."""

from collections.abc import Iterable

from django.urls import reverse
from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.documents.wording import NONE
from specapp.projects.presenting.tables import Column, Row, Table, filed, joined, small
from specapp.references.selectors import RegisterLine

_COLUMNS = (
    Column("Number"),
    Column("Title"),
    Column("Kind"),
    Column("About"),
    Column("Revision", filed=("Revision", "Revisions")),
    Column("Dated", "nowrap"),
    Column("Received", "nowrap", filed=("Received", "Received by")),
    Column("Files"),
)


def register_table(lines: Iterable[RegisterLine], project_id: int) -> Table:
    """Return the documents by number, each with the revision that counts."""
    return Table("Reference documents", _COLUMNS, [_row(line, project_id) for line in lines], is_narrow=False)


def _row(line: RegisterLine, project_id: int) -> Row:
    document, current, count = line.document, line.current, len(line.revisions)
    files = list(current.attachments.all()) if current else []
    links = [
        SafeString(
            f'<a href="{reverse("references:file-show", args=[project_id, file.pk])}" download>'
            f"{escape(file.name)}</a>"
        )
        for file in files
    ]
    link = reverse("references:document-show", args=[project_id, document.pk])
    revision = current.revision if current else ""
    dated = f"{current.dated:%Y-%m-%d}" if current and current.dated else ""
    received = f"{current.received_on:%Y-%m-%d}" if current else ""
    by = current.received_by if current else ""
    return Row(
        (
            SafeString(f'<a href="{link}">{escape(document.number)}</a>'),
            document.title,
            document.get_kind_display(),
            document.machine.tag if document.machine else "all machines",
            filed(
                joined([revision or NONE, small(f"of {count}" if count > 1 else "")], " "), revision, count
            ),
            dated or NONE,
            filed(joined([received, small(by)]), received, by),
            filed(joined(links) or NONE, "; ".join(file.name for file in files)),
        )
    )
