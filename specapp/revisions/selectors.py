"""What the pages of revisions read, in a fixed number of queries."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from django.core.exceptions import ObjectDoesNotExist

from specapp.projects.models import Machine, Project
from specapp.revisions.models import IssuedDocument, RegisterEntry, Revision, Signature, State
from specapp.revisions.services.numbering import DOCUMENT_TITLES

MOST_EARLIER = 20


def machine_revisions(machine: Machine) -> list[Revision]:
    """Return the revisions of a machine, the latest first, with issue and what replaced each."""
    rows = Revision.objects.filter(machine=machine)
    return list(rows.select_related("issue", "frozen_by", "replaces", "replaced_by__issue"))


def candidate_of(machine: Machine) -> Revision | None:
    """Return the candidate of a machine, None where it has none."""
    return Revision.objects.filter(machine=machine, state=State.CANDIDATE).first()


def replaced_by(revision: Revision) -> Revision | None:
    """Return the revision that superseded an issued one."""
    try:
        return revision.replaced_by
    except ObjectDoesNotExist:
        return None


def candidates(project: Project) -> list[Revision]:
    """Return the candidates of a project by tag, with their signatures."""
    rows = Revision.objects.filter(machine__project=project, state=State.CANDIDATE)
    return list(
        rows.select_related("machine__project", "frozen_by")
        .prefetch_related("signatures")
        .order_by("machine__tag")
    )


def sent_before(project: Project) -> dict[tuple[str, int | None], list[str]]:
    """Return who has the revisions that a project's candidates would replace.

    By role and person, as lines of distribution lists have them: tag and label of each such revision.
    """
    rows = Revision.objects.filter(
        machine__project=project,
        state=State.ISSUED,
        replaced_by=None,
        machine__revisions__state=State.CANDIDATE,
    )
    had: dict[tuple[str, int | None], list[str]] = {}
    for row in (
        rows.select_related("machine").prefetch_related("issue__distribution").order_by("machine__tag")
    ):
        for line in row.issue.distribution.all():
            had.setdefault((line.role, line.person_id), []).append(f"{row.machine.tag} {row.label}")
    return had


def signatures_of(revision: Revision) -> tuple[list[Signature], list[Signature]]:
    """Return the signatures in force and those that are void."""
    rows = list(revision.signatures.select_related("person"))
    return [row for row in rows if row.voided_at is None], [row for row in rows if row.voided_at is not None]


@dataclass(slots=True)
class RegisterRow:
    """A document in the register: its entry, what is current of it, and what went before."""

    entry: RegisterEntry
    title: str
    current: IssuedDocument | None = None
    # Each with the label of what superseded it.
    earlier: list[tuple[IssuedDocument, str]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class RegisterMachine:
    machine: Machine
    rows: Sequence[RegisterRow]


def register(project: Project) -> list[RegisterMachine]:
    """Return the documents of a project by machine, in three queries."""
    machines = list(project.machines.filter(register__isnull=False).distinct())
    by_machine: dict[int, dict[str, RegisterRow]] = {machine.pk: {} for machine in machines}
    for entry in RegisterEntry.objects.filter(project=project):
        title = entry.title or DOCUMENT_TITLES.get(entry.key, entry.key)
        by_machine[entry.machine_id][entry.key] = RegisterRow(entry, title)
    for document in _issued(project):
        row = by_machine[document.revision.machine_id][document.key]
        if row.current is None:
            row.current = document
        else:
            newer = row.earlier[-1][0] if row.earlier else row.current
            row.earlier.append((document, newer.revision.label))
    return [RegisterMachine(machine, list(by_machine[machine.pk].values())) for machine in machines]


def current_documents(project: Project) -> list[IssuedDocument]:
    """Return the documents of every machine's current revision."""
    return [row.current for each in register(project) for row in each.rows if row.current is not None]


def _issued(project: Project) -> list[IssuedDocument]:
    rows = IssuedDocument.objects.filter(issue__project=project, revision__isnull=False)
    return list(
        rows.select_related("issue", "revision__machine", "revision__replaces").order_by(
            "-issue__sequence", "pk"
        )
    )
