"""Adding to the record of what was done."""

import hashlib
import json
from datetime import datetime
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models, transaction

from specapp.core.models import AuditEntry, AuditHead, User

COMMAND_LINE = "command line"


def entry_digest(entry: AuditEntry) -> str:
    """Return the SHA-256 of an entry's content together with the digest of the one before."""
    content = {
        "at": entry.at.isoformat(),
        "actor": entry.actor_id,
        "actor_name": entry.actor_name,
        "action": entry.action,
        "object": [entry.object_type, entry.object_id, entry.object_name],
        "project": entry.project_id,
        "data": entry.data,
        "previous": entry.previous_digest,
    }
    text = json.dumps(content, cls=DjangoJSONEncoder, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


@transaction.atomic
def entry_append(
    *,
    author: User | None,
    action: str,
    subject: models.Model,
    now: datetime,
    project_id: int | None = None,
    data: dict[str, Any] | None = None,
) -> AuditEntry:
    """Add an entry; `author` is None for the command line. Runs inside the caller's transaction."""
    head, _ = AuditHead.objects.select_for_update().get_or_create(pk=1, defaults={"digest": "0" * 64})
    entry = AuditEntry(
        at=now,
        actor=author,
        actor_name=(author.get_full_name() if author else COMMAND_LINE)[:200],
        action=action,
        object_type=subject._meta.label_lower,
        object_id=subject.pk,
        object_name=str(subject)[:200],
        project_id=project_id,
        data=data or {},
        previous_digest=head.digest,
    )
    entry.digest = entry_digest(entry)
    entry.save()
    head.digest = entry.digest
    head.save()
    return entry
