"""Rows as the interface tells them."""

from collections.abc import Iterable
from typing import Any

from django.core.paginator import Page

from specapp.core.models import User
from specapp.projects.models import Machine
from specapp.projects.worked import engine_digest
from specapp.review.models import Attachment, Comment, Entry
from specapp.revisions.models import IssuedDocument, Revision, Signature
from specapp.revisions.presenting.standing import Standing, standings
from specapp.revisions.selectors import replaced_by


def page_told(page: Page) -> dict[str, int]:
    return {"count": page.paginator.count, "page": page.number, "pages": page.paginator.num_pages}


def machine_told(machine: Machine) -> dict[str, Any]:
    return {
        "id": machine.pk,
        "tag": machine.tag,
        "version": machine.version,
        "service_class": str(machine.description.get("service_class", "")),
        "counts": machine.counts if machine.counted_by == engine_digest() else None,
        "updated_at": machine.updated_at,
        "updated_by": str(machine.updated_by),
    }


def machine_whole(machine: Machine) -> dict[str, Any]:
    return machine_told(machine) | {
        "description": machine.description,
        "description_sha256": machine.description_checksum,
    }


def revision_told(revision: Revision) -> dict[str, Any]:
    by = replaced_by(revision)
    return {
        "id": revision.pk,
        "label": revision.label,
        "state": revision.state,
        "purpose": revision.purpose,
        "sha256": revision.checksum,
        "machine_version": revision.machine_version,
        "counts": revision.counts,
        "frozen_at": revision.frozen_at,
        "frozen_by": str(revision.frozen_by),
        "issue": revision.issue.number if revision.issue else None,
        "issued_on": revision.issue.issued_on if revision.issue else None,
        "superseded_by": by.label if by else None,
    }


def signature_told(signature: Signature) -> dict[str, Any]:
    return {
        "part": signature.part,
        "person": signature.person_name,
        "sha256": signature.checksum,
        "signed_at": signature.signed_at,
        "voided_at": signature.voided_at,
        "voided_because": signature.voided_because,
    }


def issued_told(documents: Iterable[IssuedDocument], person: User) -> list[dict[str, Any]]:
    """Return issued documents that a person reads; by what one is superseded only where he reads that too."""
    rows = list(documents)
    revisions = {row.revision_id: row.revision for row in rows if row.revision}
    stand = standings(revisions.values(), person)
    return [_issued_told(row, stand.get(row.revision_id)) for row in rows]


def _issued_told(document: IssuedDocument, standing: Standing | None) -> dict[str, Any]:
    return {
        "id": document.pk,
        "key": document.key,
        "number": document.number,
        "title": document.title,
        "filename": document.filename,
        "media_type": document.media_type,
        "sha256": document.file_id,
        "code": document.code,
        "revision": document.revision.label if document.revision else None,
        "issue": document.issue.number,
        "issued_on": document.issue.issued_on,
        "is_superseded": standing is not None and standing.is_superseded,
        "superseded_by": standing.by.label if standing and standing.by else None,
    }


def _entry_told(entry: Entry) -> dict[str, Any]:
    return {
        "step": entry.step,
        "text": entry.text,
        "code": entry.code,
        "code_meaning": entry.code_meaning,
        "by": entry.said_by,
        "at": entry.written_at,
    }


def attachment_told(paper: Attachment) -> dict[str, Any]:
    return {"id": paper.pk, "name": paper.name, "size": paper.size, "sha256": paper.sha256}


def comment_told(comment: Comment) -> dict[str, Any]:
    """Return a comment as `review.selectors.full` has read it."""
    spot = None
    if comment.x_mm is not None:
        spot = {name: getattr(comment, name) for name in ("x_mm", "y_mm", "width_mm", "height_mm")}
        spot["drawing"] = comment.scene
    return {
        "number": comment.number,
        "version": comment.version,
        "state": comment.state,
        "text": comment.text,
        "category": comment.category,
        "discipline": comment.discipline,
        "audience": comment.audience,
        "due_date": comment.due_date,
        "item": comment.item,
        "field": comment.field,
        "spot": spot,
        "proposed": comment.proposed,
        "proposed_as_written": comment.proposed_text,
        "is_adopted": comment.adopted is not None and comment.adopted.undone_at is None,
        "by": comment.said_by,
        "at": comment.written_at,
        "entries": [_entry_told(entry) for entry in comment.entries.all()],
        "attachments": [attachment_told(paper) for paper in comment.attachments.all()],
    }
