"""Every change of a project, its members and its machines: whole or not at all, with a record of who did it.

The caller has made sure that the author may do it (`specapp.projects.access`).
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import ProtectedError

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.core.roles import Role
from specapp.domain.proposal import Proposal
from specapp.projects.deciding.carrying import (
    carried_ground,
    decisions_carry,
    named_orders,
    pinion_orders,
)
from specapp.projects.deciding.ground import machine_ground, project_ground
from specapp.projects.errors import LastOwner, MachineKept, StaleVersion, TagTaken
from specapp.projects.models import Machine, Membership, Project
from specapp.projects.worked import counts_of, description_checksum, engine_digest, proposal_for


@transaction.atomic
def project_create(
    *, author: User, now: datetime, fields: Mapping[str, Any], is_invented: bool = False
) -> Project:
    """Start a project with its author as owner."""
    project = Project(created_at=now, is_invented=is_invented, **fields)
    project.full_clean()
    project.save()
    Membership.objects.create(project=project, user=author, role=Role.OWNER)
    entry_append(
        author=author,
        action="project.create",
        subject=project,
        now=now,
        project_id=project.pk,
        data=dict(fields),
    )
    return project


@transaction.atomic
def project_update(*, project: Project, author: User, now: datetime, fields: Mapping[str, Any]) -> Project:
    """Change a project's particulars; the record holds was and is of what differs."""
    changed = {
        name: [getattr(project, name), value]
        for name, value in fields.items()
        if getattr(project, name) != value
    }
    for name, value in fields.items():
        setattr(project, name, value)
    project.full_clean()
    project.save()
    entry_append(
        author=author, action="project.update", subject=project, now=now, project_id=project.pk, data=changed
    )
    return project


@transaction.atomic
def member_set(*, project: Project, user: User, role: Role, author: User, now: datetime) -> Membership:
    """Give a person a role in the project, new or in place of the one held.

    Raises `LastOwner` where the project would be left without one.
    """
    held = Membership.objects.select_for_update().filter(project=project, user=user).first()
    if held and held.role == Role.OWNER and role != Role.OWNER:
        _keep_an_owner(project, user)
    membership, _ = Membership.objects.update_or_create(project=project, user=user, defaults={"role": role})
    entry_append(
        author=author,
        action="member.set",
        subject=membership,
        now=now,
        project_id=project.pk,
        data={"user": user.pk, "was": held.role if held else None, "is": role},
    )
    return membership


@transaction.atomic
def member_remove(*, membership: Membership, author: User, now: datetime) -> None:
    """Take a person out of the project, from this moment. Raises `LastOwner`."""
    if membership.role == Role.OWNER:
        _keep_an_owner(membership.project, membership.user)
    entry_append(
        author=author,
        action="member.remove",
        subject=membership,
        now=now,
        project_id=membership.project_id,
        data={"user": membership.user_id, "was": membership.role},
    )
    membership.delete()


def _keep_an_owner(project: Project, leaving: User) -> None:
    owners = Membership.objects.select_for_update().filter(project=project, role=Role.OWNER)
    if not owners.exclude(user=leaving).exists():
        raise LastOwner


@transaction.atomic
def machine_create(
    *, project: Project, description: Mapping[str, Any], author: User, now: datetime
) -> Machine:
    """Add a machine as described.

    Raises
    ------
    InputErrors
        With everything wrong with the description.
    TagTaken
        Where the project has a machine of this tag.
    """
    proposal = proposal_for(description, project_ground(project.pk))
    machine = Machine(project=project, created_at=now, created_by=author)
    _store(machine, description, proposal, author, now)
    entry_append(
        author=author,
        action="machine.create",
        subject=machine,
        now=now,
        project_id=project.pk,
        data={"description": dict(description)},
    )
    return machine


@transaction.atomic
def machine_update(
    *,
    machine: Machine,
    description: Mapping[str, Any],
    expected_version: int,
    author: User,
    now: datetime,
    pinions_were: Sequence[int | None] = (),
) -> Machine:
    """Replace a machine's description, if nobody else has since `expected_version`.

    `pinions_were` holds the place that each pinion had before; overrides and setpoint values follow their
    pinions. Left out, pinions are told apart by their names.

    Raises `InputErrors` and `TagTaken` as `machine_create`, and `StaleVersion` with what is stored now.
    """
    # Problems come before staleness: they are about what was typed, whoever has saved meanwhile.
    if pinions_were:
        orders = pinion_orders(machine.description, description, pinions_were)
    else:
        orders = named_orders(machine.description, description)
    proposal = proposal_for(description, carried_ground(machine_ground(machine), orders))
    stored = machine_locked(machine, expected_version)
    was = stored.description
    stored.version += 1
    _store(stored, description, proposal, author, now)
    decisions_carry(machine=stored, orders=orders, author=author, now=now)
    entry_append(
        author=author,
        action="machine.update",
        subject=stored,
        now=now,
        project_id=stored.project_id,
        data={"version": stored.version, "was": was, "is": dict(description)},
    )
    return stored


def machine_locked(machine: Machine, expected_version: int) -> Machine:
    """Return the stored machine, locked; raises `StaleVersion` where it has changed since a version.

    Its person is not read with it: PostgreSQL, having waited for another to save, would look for the row with
    the person of before and find none.
    """
    stored = Machine.objects.select_for_update().get(pk=machine.pk)
    if stored.version != expected_version:
        raise StaleVersion(stored)
    return stored


def machine_touched(*, machine: Machine, proposal: Proposal, author: User, now: datetime) -> None:
    """Raise a locked machine's version after a change beside its description, and count again."""
    machine.version += 1
    machine.counts = counts_of(proposal)
    machine.counted_by = engine_digest()
    machine.updated_at = now
    machine.updated_by = author
    machine.save(update_fields=["version", "counts", "counted_by", "updated_at", "updated_by"])


@transaction.atomic
def machine_remove(*, machine: Machine, author: User, now: datetime) -> None:
    """Remove a machine; its description stays in the record, from which it can be entered again.

    Raises `MachineKept` where something that may not go rests on it.
    """
    entry_append(
        author=author,
        action="machine.remove",
        subject=machine,
        now=now,
        project_id=machine.project_id,
        data={"version": machine.version, "was": machine.description},
    )
    try:
        machine.delete()
    except ProtectedError as error:
        raise MachineKept from error


def _store(
    machine: Machine, description: Mapping[str, Any], proposal: Proposal, author: User, now: datetime
) -> None:
    machine.tag = proposal.machine["tag"]
    machine.description = dict(description)
    machine.description_checksum = description_checksum(description)
    machine.counts = counts_of(proposal)
    machine.counted_by = engine_digest()
    machine.updated_at = now
    machine.updated_by = author
    machine.full_clean(validate_constraints=False)
    try:
        with transaction.atomic():
            machine.save()
    except IntegrityError as error:
        raise TagTaken(machine.tag) from error


def machine_recount(*, machine: Machine, proposal: Proposal) -> None:
    """Store what the lists show, where another engine had counted it. Changes nothing a person entered."""
    if machine.counted_by != engine_digest():
        Machine.objects.filter(pk=machine.pk, version=machine.version).update(
            counts=counts_of(proposal), counted_by=engine_digest()
        )
