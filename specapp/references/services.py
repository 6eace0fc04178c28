"""Every change of the register of reference documents, with a record of who made it.

The caller has made sure that the author may do it (`specapp.projects.access`).
"""

from datetime import date, datetime

from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.projects.models import Machine, Project
from specapp.references.errors import NumberTaken, RevisionTaken
from specapp.references.files import KeptFile
from specapp.references.models import Attachment, DocumentRevision, ReferenceDocument


@transaction.atomic
def document_register(
    *,
    project: Project,
    machine: Machine | None,
    number: str,
    title: str,
    kind: str,
    author: User,
    now: datetime,
) -> ReferenceDocument:
    """Add a document to the register. Raises `NumberTaken`."""
    document = ReferenceDocument(
        project=project,
        machine=machine,
        number=number.strip(),
        title=title.strip(),
        kind=kind,
        entered_at=now,
        entered_by=author,
    )
    document.full_clean(validate_constraints=False)
    try:
        with transaction.atomic():
            document.save()
    except IntegrityError as error:
        raise NumberTaken from error
    entry_append(
        author=author,
        action="reference.register",
        subject=document,
        now=now,
        project_id=project.pk,
        data={"number": document.number, "title": document.title, "kind": kind},
    )
    return document


@transaction.atomic
def document_revise(
    *,
    document: ReferenceDocument,
    revision: str,
    dated: date | None,
    received_on: date,
    received_by: str,
    received_from: str = "",
    author: User,
    now: datetime,
) -> DocumentRevision:
    """Record that a revision was received; from now on it is the one that counts. Raises `RevisionTaken`."""
    row = DocumentRevision(
        document=document,
        revision=revision.strip(),
        dated=dated,
        received_on=received_on,
        received_by=received_by.strip(),
        received_from=received_from.strip(),
        entered_at=now,
        entered_by=author,
    )
    row.full_clean(validate_constraints=False)
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as error:
        raise RevisionTaken from error
    entry_append(
        author=author,
        action="reference.revise",
        subject=row,
        now=now,
        project_id=document.project_id,
        data={"document": document.pk, "revision": row.revision, "received_by": row.received_by},
    )
    return row


@transaction.atomic
def file_attach(*, revision: DocumentRevision, kept: KeptFile, author: User, now: datetime) -> Attachment:
    """Keep a file with a revision; the same content a second time is the row that is there."""
    held = Attachment.objects.filter(revision=revision, sha256=kept.sha256).first()
    if held is not None:
        return held
    row = Attachment(
        revision=revision,
        name=kept.name,
        kind=kept.kind,
        size=len(kept.content),
        sha256=kept.sha256,
        added_at=now,
        added_by=author,
    )
    row.file.save(kept.name, ContentFile(kept.content), save=False)
    row.full_clean()
    row.save()
    entry_append(
        author=author,
        action="reference.attach",
        subject=row,
        now=now,
        project_id=revision.document.project_id,
        data={"revision": revision.pk, "name": row.name, "sha256": row.sha256, "size": row.size},
    )
    return row
