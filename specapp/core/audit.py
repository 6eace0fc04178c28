"""Adding to the record of what was done, and verifying that nobody has touched it since."""

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models, transaction

from specapp.core.models import AuditEntry, AuditHead, User

COMMAND_LINE = "command line"
NOBODY = "not signed in"
FIRST = "0" * 64
_WHOLE_ABOVE = 1e15


def _canonical(value: Any) -> Any:
    """Return a value as every database gives it back: huge floats are whole numbers, -0.0 is 0.0."""
    if isinstance(value, dict):
        return {key: _canonical(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_canonical(item) for item in value]
    if isinstance(value, float):
        if abs(value) >= _WHOLE_ABOVE and value.is_integer():
            return int(value)
        return value + 0.0
    return value


def entry_digest(entry: AuditEntry) -> str:
    """Return the SHA-256 of an entry's content together with the digest of the one before."""
    content = {
        "at": entry.at.astimezone(UTC).isoformat(),
        "actor": entry.actor_id,
        "actor_name": entry.actor_name,
        "action": entry.action,
        "object": [entry.object_type, entry.object_id, entry.object_name],
        "project": entry.project_id,
        "data": _canonical(entry.data),
        "previous": entry.previous_digest,
    }
    text = json.dumps(content, cls=DjangoJSONEncoder, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


@transaction.atomic
def entry_append(
    *,
    author: User | None,
    action: str,
    subject: models.Model | None,
    now: datetime,
    project_id: int | None = None,
    data: dict[str, Any] | None = None,
    by: str = COMMAND_LINE,
    about: str = "",
) -> AuditEntry:
    """Add an entry. Runs inside the caller's transaction.

    `author` is None for what nobody signed in has done; `by` then names who did. `subject` is None where no
    row is meant, a sign-in under an unknown name or a downloaded file; `about` then names it.
    """
    head, _ = AuditHead.objects.select_for_update().get_or_create(pk=1, defaults={"digest": FIRST})
    entry = AuditEntry(
        at=now,
        actor=author,
        actor_name=(author.get_full_name() if author else by)[:200],
        action=action,
        object_type=subject._meta.label_lower if subject else "",
        object_id=subject.pk if subject else None,
        object_name=(str(subject) if subject else about)[:200],
        project_id=project_id,
        # As the database will give it back, or the digest would be of something else.
        data=json.loads(json.dumps(data or {}, cls=DjangoJSONEncoder)),
        previous_digest=head.digest,
    )
    entry.digest = entry_digest(entry)
    entry.save()
    head.digest = entry.digest
    head.save()
    return entry


@dataclass(frozen=True, slots=True)
class ChainState:
    """What verifying found: how many entries fit, the last digest, and the first that does not fit."""

    entries: int
    head: str
    broken: AuditEntry | None = None
    reason: str = ""
    expected_seen: bool = False


def chain_verify(expected: str = "") -> ChainState:
    """Verify every entry in order.

    `expected` is a digest noted earlier and elsewhere: someone who may write to the database could compute
    the whole chain anew, but not so that it still holds that digest.
    """
    with transaction.atomic():
        head = AuditHead.objects.select_for_update().filter(pk=1).values_list("digest", flat=True).first()
        return _verified(AuditEntry.objects.order_by("pk").iterator(chunk_size=2000), head or FIRST, expected)


def _verified(entries: Iterable[AuditEntry], head: str, expected: str) -> ChainState:
    previous, count, seen = FIRST, 0, False
    for entry in entries:
        if entry.previous_digest != previous:
            reason = "it does not rest on the entry before it: one is missing, was added or was changed"
            return ChainState(count, previous, entry, reason, seen)
        if entry_digest(entry) != entry.digest:
            return ChainState(count, previous, entry, "its content is not what was recorded", seen)
        previous, count = entry.digest, count + 1
        seen = seen or entry.digest == expected
    if previous != head:
        return ChainState(count, previous, None, "the last entries are missing", seen)
    return ChainState(count, previous, expected_seen=seen)
