"""Archives of issued documents, recorded as exports."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.documents.issue_package import PackedFile, package
from specapp.projects.models import Project
from specapp.revisions.content import bytes_of
from specapp.revisions.models import Issue, IssuedDocument, Revision
from specapp.revisions.readers import KEPT_INSIDE
from specapp.revisions.selectors import current_documents
from specapp.revisions.services.rendering import file_part


def packed_issue(
    *, issue: Issue, author: User, now: datetime, is_for_outside: bool = False
) -> tuple[str, bytes]:
    """Return name and bytes of an issue's archive: its documents and the frozen content of each revision.

    For people of other companies it holds neither that content nor the documents that are kept inside.
    """
    rows = issue.documents.select_related("issue", "revision__machine", "revision__replaces", "file")
    if is_for_outside:
        files = _documents(rows.exclude(key__in=KEPT_INSIDE))
    else:
        kept = issue.revisions.select_related("machine", "issue", "replaces")
        files = [*_documents(rows), *map(_content, kept.order_by("machine__tag", "pk"))]
    data = package(files, issue.issued_on)
    entry_append(
        author=author,
        action="revision.export",
        subject=issue,
        now=now,
        project_id=issue.project_id,
        data={"files": len(files)},
    )
    return f"{file_part(issue.number)}.zip", data


def packed_register(*, project: Project, author: User, now: datetime) -> tuple[str, bytes]:
    """Return name and bytes of an archive of every current document of a project."""
    current = current_documents(project)
    by_id = IssuedDocument.objects.select_related(
        "issue", "revision__machine", "revision__replaces", "file"
    ).in_bulk([row.pk for row in current])
    revisions = Revision.objects.filter(pk__in={row.revision_id for row in current})
    rows = sorted(by_id.values(), key=lambda row: (row.revision.machine.tag, row.number))
    contents = revisions.select_related("machine", "issue", "replaces").order_by("machine__tag", "pk")
    files = [*_documents(rows), *map(_content, contents)]
    last = max((row.issue.issued_on for row in rows), default=date(1980, 1, 1))
    entry_append(
        author=author,
        action="register.export",
        subject=project,
        now=now,
        project_id=project.pk,
        data={"files": len(files)},
    )
    return f"{file_part(project.number or str(project.pk))}_current.zip", package(_apart(files), last)


def _documents(rows: Iterable[IssuedDocument]) -> list[PackedFile]:
    return [
        PackedFile(
            filename=row.filename,
            content=bytes(row.file.content),
            number=row.number,
            title=f"{row.title}, {row.revision.machine.tag}" if row.revision else row.title,
            revision=row.revision.label if row.revision else "",
            purpose=row.issue.get_purpose_display(),
            date=row.issue.issued_on.isoformat(),
            sha256=row.file_id,
            replaces=row.revision.replaces.label if row.revision and row.revision.replaces else "",
        )
        for row in rows
    ]


def _content(revision: Revision) -> PackedFile:
    tag, label = file_part(revision.machine.tag), file_part(revision.label)
    return PackedFile(
        # The row's id keeps two tags apart that are written alike in ASCII.
        filename=f"{tag}_rev_{label}_{revision.pk}_revision.json",
        content=bytes_of(revision.checksum),
        number="",
        title=f"Frozen content, {revision.machine.tag}",
        revision=revision.label,
        purpose=revision.get_purpose_display(),
        date=revision.issue.issued_on.isoformat() if revision.issue else "",
        sha256=revision.checksum,
        replaces=revision.replaces.label if revision.replaces else "",
    )


def _apart(files: list[PackedFile]) -> list[PackedFile]:
    """Return the files with each name once: numbers of two machines may be written alike."""
    seen: dict[str, int] = {}
    kept = []
    for file in files:
        seen[file.filename] = seen.get(file.filename, 0) + 1
        again = seen[file.filename]
        name = file.filename if again == 1 else f"{again}_{file.filename}"
        kept.append(replace(file, filename=name))
    return kept
