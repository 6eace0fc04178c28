"""Issuing a package of candidates with one transmittal: rendered once, stored, never changed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.documents import transmittal
from specapp.documents.registry import PDF
from specapp.projects.models import Machine, Project
from specapp.revisions.content import content_of, stored
from specapp.revisions.errors import GateClosed, Refused, Stale
from specapp.revisions.gate import gate_lines
from specapp.revisions.models import LONGEST_TO, Issue, IssuedDocument, Part, Purpose, Revision, State
from specapp.revisions.services.distributing import Addressed, distribution_told, distribution_write
from specapp.revisions.services.freezing import candidate_locked, has_moved
from specapp.revisions.services.holds import holds_in_force
from specapp.revisions.services.numbering import asked_of, next_issue, register_ensure
from specapp.revisions.services.rendering import (
    Rendered,
    file_part,
    hold_lines,
    issue_options,
    new_code,
    revision_render,
    signed_words,
)
from specapp.revisions.services.signing import last_issued

TRANSMITTAL = "transmittal"


@dataclass(frozen=True, slots=True)
class Sending:
    """To whom a package goes, and what they are asked.

    `recipients` is what the transmittal prints, empty for the words of `distribution`: who of the project
    reads the issue here.
    """

    recipients: str
    note: str = ""
    answer_by: date | None = None
    distribution: tuple[Addressed, ...] = ()

    @property
    def to(self) -> str:
        """Return to whom the transmittal says it goes."""
        return self.recipients.strip() or ", ".join(map(str, dict.fromkeys(self.distribution)))


@dataclass(frozen=True, slots=True)
class _Ready:
    """A candidate with its documents rendered, and what it was when they were."""

    revision: Revision
    replaces: Revision | None
    holds: tuple[str, ...]
    documents: tuple[Rendered, ...]


def issue_create(
    *,
    project: Project,
    purpose: str,
    chosen: Mapping[int, int],
    sending: Sending,
    author: User,
    now: datetime,
) -> Issue:
    """Issue candidates of one purpose as a package.

    `chosen` maps candidates to the versions that the author saw. Documents are rendered before the lock is
    taken, since they take seconds; under it everything is checked again.

    Raises
    ------
    Refused
        Where nothing is chosen, a signature is missing, the candidate is for another purpose, the issue
        cannot go to somebody on the distribution list, or it is not said to whom it goes.
    GateClosed
        Where something is neither solved nor on the hold list and the purpose asks for that.
    Stale
        Where a candidate or its machine has changed since.
    """
    issued_on = now.astimezone(ZoneInfo(project.time_zone)).date()
    if not chosen:
        raise Refused("Choose at least one candidate.")
    if not 1 <= len(sending.to) <= LONGEST_TO:
        raise Refused(f"Say to whom it goes, in at most {LONGEST_TO} characters.")
    revisions = list(
        Revision.objects.filter(pk__in=chosen, machine__project=project)
        .select_related("machine__project")
        .order_by("machine__tag")
    )
    if len(revisions) != len(chosen):
        raise Stale("A candidate that was chosen is no longer there.")
    ready = [_rendered(revision, purpose, chosen[revision.pk], issued_on) for revision in revisions]
    with transaction.atomic():
        return _store(project, purpose, ready, sending, issued_on, author, now)


def missing_signatures(revision: Revision) -> list[str]:
    """Return the parts that a candidate still has to be signed as, in turn."""
    given = {row.part for row in revision.signatures.all() if row.voided_at is None}
    asked = asked_of(revision.machine.project)[revision.purpose]
    return [Part(part).label for part in asked.parts if part not in given]


def not_ready(revision: Revision, purpose: str) -> None:
    """Raise what stands in the way of issuing a candidate for a purpose; nothing where nothing does."""
    tag = f"{revision.machine.tag} revision {revision.label}"
    if revision.state != State.CANDIDATE:
        raise Stale(f"{tag} is {revision.get_state_display()} meanwhile.")
    if revision.purpose != purpose:
        raise Refused(f"{tag} was frozen for {revision.get_purpose_display()}, not {Purpose(purpose).label}.")
    if has_moved(revision):
        raise Stale(
            f"{tag}: the machine was changed after freezing, its signatures are void. Freeze it again."
        )
    missing = missing_signatures(revision)
    if missing:
        raise Refused(f"{tag} is not signed as {', '.join(missing)}.")
    if asked_of(revision.machine.project)[purpose].is_gated:
        open_lines = unsettled(revision)
        if open_lines:
            raise GateClosed(
                f"{tag}: {open_lines} unsettled and not on the hold list. "
                "Settle them, or put them on hold with owner and due date."
            )


def unsettled(revision: Revision) -> int:
    """Return how many unsettled things of a candidate are not on the hold list."""
    lines = gate_lines(content_of(revision.checksum).proposal, holds_in_force(revision.machine))
    return sum(line.hold is None for line in lines)


def _rendered(revision: Revision, purpose: str, version: int, issued_on: date) -> _Ready:
    if revision.version != version:
        raise Stale(f"{revision.machine.tag}: the candidate has changed since this page was opened.")
    not_ready(revision, purpose)
    with transaction.atomic():
        machine = Machine.objects.select_for_update().get(pk=revision.machine_id)
        entries = register_ensure(machine)
    before = last_issued(revision.machine)
    holds = holds_in_force(revision.machine)
    documents = revision_render(revision, before, entries, holds, issued_on)
    return _Ready(revision, before, tuple(hold_lines(revision, holds)), tuple(documents))


def _store(
    project: Project,
    purpose: str,
    ready: Sequence[_Ready],
    sending: Sending,
    issued_on: date,
    author: User,
    now: datetime,
) -> Issue:
    locked = Project.objects.select_for_update().get(pk=project.pk)
    for each in ready:
        row, _ = candidate_locked(each.revision, each.revision.version)
        not_ready(row, purpose)
        if last_issued(row.machine) != each.replaces or each.holds != tuple(
            hold_lines(row, holds_in_force(row.machine))
        ):
            raise Stale(f"{row.machine.tag}: its hold list or last issue changed meanwhile. Issue again.")
    sequence, number = next_issue(locked)
    issue = Issue(
        project=locked,
        sequence=sequence,
        number=number,
        purpose=purpose,
        recipients=sending.to,
        note=sending.note,
        answer_by=sending.answer_by,
        issued_at=now,
        issued_on=issued_on,
        issued_by=author,
        issued_by_name=author.get_full_name()[:200],
    )
    issue.full_clean()
    issue.save()
    lines = distribution_write(issue, sending.distribution, author, now)
    taken: set[str] = set()
    rows = [_keep(issue, each, document, taken) for each in ready for document in each.documents]
    rows.append(_transmittal(issue, ready, rows))
    for row in rows:
        row.save()
    for each in ready:
        revision = each.revision
        revision.state, revision.issue, revision.replaces = State.ISSUED, issue, each.replaces
        revision.version += 1
        revision.save()
    entry_append(
        author=author,
        action="revision.issue",
        subject=issue,
        now=now,
        project_id=locked.pk,
        data={
            "purpose": purpose,
            "revisions": [
                [each.revision.machine_id, each.revision.label, each.revision.checksum] for each in ready
            ],
            "documents": {row.filename: row.file_id for row in rows},
            "sent_to": distribution_told(lines),
        },
    )
    return issue


def _keep(issue: Issue, ready: _Ready, document: Rendered, taken: set[str]) -> IssuedDocument:
    # Two numbers may be written alike where only ASCII letters and figures are kept.
    filename, again = document.filename, 2
    while filename in taken:
        filename, again = f"{again}_{document.filename}", again + 1
    taken.add(filename)
    return IssuedDocument(
        issue=issue,
        revision=ready.revision,
        key=document.key,
        number=document.number,
        title=document.title,
        filename=filename,
        media_type=document.media_type,
        code=document.code,
        file=stored(document.content),
    )


def _transmittal(issue: Issue, ready: Sequence[_Ready], rows: Sequence[IssuedDocument]) -> IssuedDocument:
    project, code = issue.project, new_code()
    replaced = {each.revision.pk: each.replaces.label if each.replaces else "" for each in ready}
    sent = transmittal.Transmittal(
        number=issue.number,
        purpose=issue.get_purpose_display(),
        date=issue.issued_on.isoformat(),
        sender=issue.issued_by_name,
        recipients=issue.recipients,
        answer_by=issue.answer_by.isoformat() if issue.answer_by else "",
        note=issue.note,
        machines=tuple(
            transmittal.SentMachine(
                each.revision.machine.tag,
                each.revision.label,
                each.revision.checksum,
                tuple(
                    (row.get_part_display(), signed_words(row, project))
                    for row in each.revision.signatures.filter(voided_at=None)
                ),
                each.holds,
            )
            for each in ready
        ),
        documents=tuple(
            transmittal.SentDocument(
                row.revision.machine.tag,
                row.number,
                row.title,
                row.revision.label,
                row.filename,
                row.file_id,
                replaced[row.revision_id],
            )
            for row in rows
        ),
    )
    options = replace(issue_options(project, issue.purpose, issue.issued_on), code=code, number=issue.number)
    return IssuedDocument(
        issue=issue,
        revision=None,
        key=TRANSMITTAL,
        number=issue.number,
        title=transmittal.TITLE,
        filename=f"{file_part(issue.number)}_transmittal.pdf",
        media_type=PDF,
        code=code,
        file=stored(transmittal.render(sent, options)),
    )
