"""What the pages of the register read, in a fixed number of queries."""

from dataclasses import dataclass

from django.db.models import Prefetch

from specapp.core.models import User
from specapp.projects.models import Machine, Project
from specapp.references.models import Attachment, DocumentRevision, ReferenceDocument, SittingSource
from specapp.references.resting import same_text


@dataclass(frozen=True, slots=True)
class RegisterLine:
    """A document with its revisions, the one received last first."""

    document: ReferenceDocument
    revisions: tuple[DocumentRevision, ...]

    @property
    def current(self) -> DocumentRevision | None:
        return self.revisions[0] if self.revisions else None


def register_of(project: Project, machine: Machine | None = None, text: str = "") -> list[RegisterLine]:
    """Return the documents of a project by number: all, or a machine's and those about no one machine.

    With a text, those whose number or title holds it.
    """
    attachments = Prefetch("attachments", Attachment.objects.order_by("pk"))
    revisions = Prefetch("revisions", DocumentRevision.objects.order_by("-pk").prefetch_related(attachments))
    rows = project.reference_documents.select_related("machine").prefetch_related(revisions)
    lines = [RegisterLine(row, tuple(row.revisions.all())) for row in rows]
    wanted = text.strip().casefold()
    return [
        line
        for line in lines
        if (machine is None or line.document.machine_id in (None, machine.pk))
        and wanted in f"{line.document.number} {line.document.title}".casefold()
    ]


def current_revision(lines: list[RegisterLine], number: str) -> DocumentRevision | None:
    """Return the revision that counts of a document by its number, None where the register has none."""
    for line in lines:
        if same_text(line.document.number, number):
            return line.current
    return None


def sitting_of(machine: Machine, person: User) -> SittingSource | None:
    return SittingSource.objects.filter(machine=machine, person=person).first()
