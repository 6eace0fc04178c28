"""Signing a candidate: over its checksum, with the password, by somebody who may."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.core.password_again import password_problem
from specapp.projects.models import Machine
from specapp.revisions.acceptance import Accepted, to_accept
from specapp.revisions.content import content_of
from specapp.revisions.errors import Refused, Stale
from specapp.revisions.independence import change_named, changes_by
from specapp.revisions.models import Part, Revision, Signature, State
from specapp.revisions.services.freezing import candidate_locked, has_moved
from specapp.revisions.services.numbering import asked_of


def signature_give(
    *,
    revision: Revision,
    checksum: str,
    part: str,
    person: User,
    password: str,
    accepted: Mapping[str, int] | None,
    now: datetime,
) -> Signature:
    """Sign a candidate.

    `checksum` is that of the content the person saw; `accepted` counts the listed values and points that
    the person accepts, None where the tick is missing.

    Raises
    ------
    Refused
        For a wrong password (recorded), an order out of turn, a second signature of one person, a change of
        one's own, or lists not accepted.
    Stale
        Where the candidate, the machine or the lists are no longer those that were shown.
    """
    wrong = password_problem(
        person=person,
        password=password,
        action="revision.sign_refused",
        subject=revision,
        project_id=revision.machine.project_id,
        data={"machine": revision.machine_id, "part": part, "because": "password"},
        now=now,
    )
    if wrong:
        raise Refused(wrong)
    with transaction.atomic():
        row, _ = candidate_locked(revision)
        if row.checksum != checksum:
            raise Stale("This page is out of date: the content was frozen again. Read it before you sign.")
        if has_moved(row):
            raise Stale("The machine was changed since it was frozen: freeze it again before anyone signs.")
        problem = cannot_sign(row, part, person)
        if problem:
            raise Refused(problem)
        listed = accepted_lists(row)
        if accepted is None and listed.total:
            raise Refused("Tick that you accept what is listed, or settle it first.")
        if accepted is not None and dict(accepted) != listed.counts:
            raise Stale("The lists for acceptance have changed since this page was opened. Read them again.")
        signature = Signature(
            revision=row,
            part=part,
            person=person,
            person_name=person.get_full_name()[:200],
            checksum=row.checksum,
            accepted=listed.counts,
            signed_at=now,
        )
        signature.full_clean()
        signature.save()
        row.version += 1
        row.save(update_fields=["version"])
        entry_append(
            author=person,
            action="revision.sign",
            subject=row,
            now=now,
            project_id=row.machine.project_id,
            data={
                "machine": row.machine_id,
                "part": part,
                "checksum": row.checksum,
                "accepted": listed.counts,
            },
        )
    return signature


def cannot_sign(revision: Revision, part: str, person: User) -> str:
    """Return why a person cannot sign as this now, nothing where nothing is in the way."""
    needed = asked_of(revision.machine.project)[revision.purpose].parts
    if part not in needed:
        return f"Issue for {revision.get_purpose_display()} asks for no signature as {Part(part).label}."
    given = {row.part: row for row in revision.signatures.all() if row.voided_at is None}
    if part in given:
        return f"{given[part].person_name} has signed as {Part(part).label} already."
    if any(row.person_id == person.pk for row in given.values()):
        return "You have signed this content already; the next signature is another person's."
    before = next((each for each in needed if each not in given), part)
    if before != part:
        return f"Not in turn: it is to be signed as {Part(before).label} first."
    if part != Part.PREPARED:
        own = changes_by(person, revision.machine, last_entry(revision.machine))
        if own:
            return (
                f"You cannot sign as {Part(part).label}: since the last issue you "
                f"{', '.join(map(change_named, own))}."
            )
    return ""


def accepted_lists(revision: Revision) -> Accepted:
    """Return what a signature of this candidate accepts."""
    last = last_issued(revision.machine)
    proposal = content_of(revision.checksum).proposal
    return to_accept(revision, proposal, last.machine_version if last else 0)


def last_issued(machine: Machine) -> Revision | None:
    """Return the revision of a machine that is current."""
    rows = Revision.objects.filter(machine=machine, state=State.ISSUED).select_related("issue")
    return rows.order_by("-issue__sequence").first()


def last_entry(machine: Machine) -> int:
    last = last_issued(machine)
    return last.frozen_entry if last else 0
