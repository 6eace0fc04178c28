"""What the pages of projects read, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.core.paginator import Page, Paginator
from django.db.models import Q, QuerySet

from specapp.core.models import AuditEntry, User
from specapp.core.roles import Right, Role
from specapp.projects.access import rights_in
from specapp.projects.models import Machine, Membership, Project
from specapp.projects.worked import engine_digest


@dataclass(frozen=True, slots=True)
class MachineRow:
    """A machine in a list; `counts` is None until its proposal has been worked out by this rulebook."""

    pk: int
    tag: str
    service: str
    service_class: str
    stage_count: str
    pinion_count: int
    counts: dict[str, int] | None
    updated_at: datetime
    updated_by: User


@dataclass(frozen=True, slots=True)
class ProjectRow:
    """A project in the list of a person's projects, with what waits in it."""

    project: Project
    role: str
    may_read: bool
    may_read_issued: bool
    machine_count: int
    fails: int
    open_points: int
    to_confirm: int
    not_worked: int


MACHINES_ON_A_PAGE = 50


# Of a description, the few facts that a list tells: reading whole ones takes longer than all the rest.
_LISTED = (
    "pk",
    "tag",
    "description__service",
    "description__service_class",
    "description__stage_count",
    "description__pinions",
    "counts",
    "counted_by",
    "updated_at",
    "updated_by",
)


def project_machines(project: Project, page: str = "") -> tuple[list[MachineRow], Page]:
    """Return one page of the machines of a project by tag, and which page of how many it is."""
    # The database puts them in order without their descriptions.
    pages = Paginator(project.machines.values_list("pk", flat=True), MACHINES_ON_A_PAGE)
    shown = pages.get_page(page)
    return _machine_rows(project.machines.filter(pk__in=list(shown))), shown


def all_machines(project: Project) -> list[MachineRow]:
    """Return every machine of a project by tag."""
    return _machine_rows(project.machines.all())


def _machine_rows(machines: QuerySet[Machine]) -> list[MachineRow]:
    found = list(machines.values_list(*_LISTED))
    people = User.objects.in_bulk({row[-1] for row in found})
    engine = engine_digest()
    return [
        MachineRow(
            pk=pk,
            tag=tag,
            service=str(service or ""),
            service_class=str(service_class or "").replace("_", " "),
            stage_count="" if stage_count is None else str(stage_count),
            pinion_count=len(pinions or ()),
            counts=counts if counted_by == engine else None,
            updated_at=updated_at,
            updated_by=people[updated_by],
        )
        for (
            pk,
            tag,
            service,
            service_class,
            stage_count,
            pinions,
            counts,
            counted_by,
            updated_at,
            updated_by,
        ) in found
    ]


def user_projects(user: User) -> list[ProjectRow]:
    """Return the projects of a person with the sums of what waits in their machines."""
    memberships = list(
        Membership.objects.filter(user=user).select_related("project").order_by("project__name")
    )
    readable = [item.project_id for item in memberships if Right.READ_DRAFT in _rights(item)]
    counts: dict[int, list[dict[str, int] | None]] = defaultdict(list)
    for project_id, counted, engine in Machine.objects.filter(project__in=readable).values_list(
        "project_id", "counts", "counted_by"
    ):
        counts[project_id].append(counted if engine == engine_digest() else None)
    return [_project_row(item, counts.get(item.project_id, [])) for item in memberships]


def _rights(membership: Membership) -> frozenset[Right]:
    return rights_in(membership.project, Role(membership.role))


def _project_row(membership: Membership, counts: list[dict[str, int] | None]) -> ProjectRow:
    known = [item for item in counts if item is not None]
    return ProjectRow(
        project=membership.project,
        role=membership.get_role_display(),
        may_read=Right.READ_DRAFT in _rights(membership),
        may_read_issued=Right.READ_ISSUED in _rights(membership),
        machine_count=len(counts),
        fails=sum(item["fails"] for item in known),
        open_points=sum(item["open_points"] for item in known),
        to_confirm=sum(item["to_confirm"] for item in known),
        not_worked=len(counts) - len(known),
    )


def project_members(project: Project) -> list[Membership]:
    """Return the members of a project, owners first as they joined."""
    return list(project.memberships.select_related("user"))


_MOST_ENTRIES = 30


def machine_record(machine: Machine, items: Iterable[str] = ()) -> list[AuditEntry]:
    """Return what was done to a machine and to these items of it, the latest first and no more than 30."""
    described = Q(object_type=Machine._meta.label_lower, object_id=machine.pk)
    decided = Q(data__machine=machine.pk, data__item__in=list(items))
    entries = AuditEntry.objects.filter(described | decided, project_id=machine.project_id)
    return list(entries.order_by("-pk")[:_MOST_ENTRIES])
