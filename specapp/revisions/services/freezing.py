"""From working to candidate: freezing a machine's content, freezing it again, cancelling."""

from datetime import datetime

from django.db import transaction

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.models import Machine, Project
from specapp.projects.services import machine_locked
from specapp.projects.worked import counts_of
from specapp.revisions.content import basis_of, content_bytes, content_of, decided, stored, taken_back
from specapp.revisions.errors import Refused, Stale
from specapp.revisions.models import Revision, State
from specapp.revisions.services.numbering import asked_of, next_label, register_ensure


@transaction.atomic
def revision_freeze(
    *, machine: Machine, expected_version: int, purpose: str, author: User, now: datetime
) -> Revision:
    """Freeze a machine as a candidate under the next number of the purpose's series.

    Raises
    ------
    Refused
        Where the machine has a candidate already.
    StaleVersion
        Where the machine has changed since `expected_version`.
    InputErrors
        Where the description cannot be read under the present rules.
    """
    Project.objects.select_for_update().get(pk=machine.project_id)
    locked = machine_locked(machine, expected_version)
    held = Revision.objects.filter(machine=locked, state=State.CANDIDATE).first()
    if held is not None:
        raise Refused(f"Revision {held.label} is a candidate already: issue or cancel it first.")
    series = asked_of(locked.project)[purpose].series
    sequence, label = next_label(locked, series)
    revision = Revision(machine=locked, purpose=purpose, series=series, sequence=sequence, label=label)
    _freeze(revision, locked, author, now)
    register_ensure(locked)
    return revision


@transaction.atomic
def revision_refreeze(*, revision: Revision, expected_version: int, author: User, now: datetime) -> Revision:
    """Take the machine as it stands into the candidate; signatures over the former content are void.

    Raises `Stale` where the candidate has changed, `Refused` where the machine says the same as before.
    """
    row, machine = candidate_locked(revision, expected_version)
    former = row.content_id
    _freeze(row, machine, author, now, must_differ=True)
    row.signatures.filter(voided_at=None).update(
        voided_at=now, voided_because=f"content changed, frozen again by {author.get_full_name()}"[:500]
    )
    assert row.content_id != former
    return row


@transaction.atomic
def revision_cancel(
    *, revision: Revision, expected_version: int, reason: str, author: User, now: datetime
) -> None:
    """Give a candidate up; its number is never used again."""
    row, _ = candidate_locked(revision, expected_version)
    row.state, row.cancelled_because, row.version = State.CANCELLED, reason, row.version + 1
    row.full_clean(exclude=["machine"])
    row.signatures.filter(voided_at=None).update(voided_at=now, voided_because="revision cancelled")
    row.save()
    entry_append(
        author=author,
        action="revision.cancel",
        subject=row,
        now=now,
        project_id=row.machine.project_id,
        data={"machine": row.machine_id, "label": row.label, "reason": reason},
    )


def candidate_locked(revision: Revision, expected_version: int | None = None) -> tuple[Revision, Machine]:
    """Return a candidate and its machine, locked with their project; raises `Stale`."""
    project = Project.objects.select_for_update().get(pk=revision.machine.project_id)
    machine = Machine.objects.select_for_update().get(pk=revision.machine_id)
    machine.project = project
    row = Revision.objects.select_for_update().get(pk=revision.pk)
    row.machine = machine
    if row.state != State.CANDIDATE:
        raise Stale(f"Revision {row.label} is {row.get_state_display()} meanwhile.")
    if expected_version is not None and row.version != expected_version:
        raise Stale("Somebody else changed this candidate meanwhile. It is shown as it stands now.")
    return row, machine


def has_moved(revision: Revision) -> bool:
    """Tell whether description, overrides, criteria or setpoint values have changed since the freezing.

    Moved is a candidate as well whose content calls a criterion confirmed that no longer is.
    """
    if basis_of(revision.machine, decided(revision.machine)) != revision.basis:
        return True
    return bool(taken_back(revision.machine, content_of(revision.checksum)))


def _freeze(
    revision: Revision, machine: Machine, author: User, now: datetime, *, must_differ: bool = False
) -> None:
    rows = decided(machine)
    proposal = machine_proposal(machine)
    former = revision.content_id
    content = stored(content_bytes(machine, rows, proposal))
    if must_differ and content.pk == former:
        raise Refused("Nothing has changed since this candidate was frozen.")
    is_new = revision.pk is None
    revision.content = content
    revision.basis = basis_of(machine, rows)
    revision.machine_version = machine.version
    revision.counts = counts_of(proposal)
    revision.frozen_at, revision.frozen_by = now, author
    revision.frozen_entry = 0
    if not is_new:
        revision.version += 1
    revision.save()
    entry = entry_append(
        author=author,
        action="revision.freeze" if is_new else "revision.refreeze",
        subject=revision,
        now=now,
        project_id=machine.project_id,
        data={
            "machine": machine.pk,
            "label": revision.label,
            "purpose": revision.purpose,
            "was": former or None,
            "is": content.pk,
        },
    )
    revision.frozen_entry = entry.pk
    revision.save(update_fields=["frozen_entry"])
