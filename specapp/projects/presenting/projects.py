"""Projects, the machines of one and who works on it, as tables."""

from collections.abc import Iterable

from django.urls import reverse
from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.core.time_zone import moment_text
from specapp.documents.schedules import Schedule
from specapp.documents.wording import NONE
from specapp.projects.models import Invitation, Membership
from specapp.projects.presenting.tables import Column, Row, Table, filed, joined, small
from specapp.projects.selectors import MachineRow, ProjectRow

_COUNTED = ("points", "fails", "cautions", "open_points", "to_confirm")
_MACHINES = (
    Column("Tag", "nowrap"),
    Column("Service"),
    Column("Class"),
    Column("Stages", "number"),
    Column("Pinions", "number"),
    Column("Points", "number"),
    Column("Checks failing", "number"),
    Column("Cautions", "number"),
    Column("Open points", "number"),
    Column("To be confirmed", "number"),
    Column("Saved", "nowrap", filed=("Saved", "Saved by")),
)
_PROJECTS = (
    Column("Project", filed=("Project", "What it is to you")),
    Column("Client, site", filed=("Client", "Site")),
    Column("Your role"),
    Column("Machines", "number"),
    Column("Checks failing", "number"),
    Column("Open points", "number"),
    Column("To be confirmed", "number", filed=("To be confirmed", "Machines to be opened")),
)


def machines_table(rows: Iterable[MachineRow], project_id: int) -> Table:
    """Return machines with what their proposals count, as far as they have been worked out."""
    start = reverse("projects:project-show", args=[project_id]) + "machines/"
    return Table("Machines", _MACHINES, [_machine(row, start) for row in rows], is_narrow=False)


def _machine(row: MachineRow, start: str) -> Row:
    counts = row.counts
    counted: list[str | None]
    if not counts:
        told = "worked out when opened"
        counted = [filed(small(told), told), *(None for _ in _COUNTED[1:])]
    else:
        counted = [str(counts[name]) for name in _COUNTED]
        if counts["fails"]:
            counted[1] = _needs(counts["fails"])
    when, by = moment_text(row.updated_at), str(row.updated_by)
    return Row(
        (
            SafeString(f'<a href="{start}{row.pk}/">{escape(row.tag)}</a>'),
            row.service or NONE,
            row.service_class,
            row.stage_count,
            str(row.pinion_count),
            *counted,
            filed(joined([when, small(by)]), when, by),
        ),
        "needs" if counts and counts["fails"] else "",
    )


def _needs(count: int) -> SafeString:
    return filed(SafeString(f'<span class="needs-you">{count}</span>'), count)


def projects_table(rows: Iterable[ProjectRow]) -> Table:
    """Return the projects of a person with what waits in them."""
    return Table("Your projects", _PROJECTS, [_project(row) for row in rows], is_narrow=False)


def _project(row: ProjectRow) -> Row:
    project = row.project
    name, note, told = escape(str(project)), "", ""
    if row.may_read:
        name = f'<a href="{reverse("projects:project-show", args=[project.pk])}">{name}</a>'
    elif row.may_read_issued:
        name = f'<a href="{reverse("revisions:issue-list", args=[project.pk])}">{name}</a>'
        note = told = "what was issued to you"
    else:
        told = "enquiries to you"
        note = SafeString(f'<a href="{reverse("bids:bidding-list")}">{told}</a>')
    invented = "invented, for demonstration" if project.is_invented else ""
    head = filed(
        joined([SafeString(name), small(note), small(invented)]),
        str(project),
        ", ".join(part for part in (told, invented) if part),
    )
    if not row.may_read:
        return Row((head, NONE, row.role, "", None, None, None))
    waiting = f"{row.not_worked} to be opened" if row.not_worked else ""
    return Row(
        (
            head,
            filed(joined([project.client or NONE, small(project.site)]), project.client, project.site),
            row.role,
            str(row.machine_count),
            _needs(row.fails) if row.fails else str(row.fails),
            str(row.open_points),
            filed(joined([str(row.to_confirm), small(waiting)]), row.to_confirm, row.not_worked),
        ),
        "needs" if row.fails else "",
    )


def members_table(members: Iterable[Membership]) -> Table:
    """Return who works on a project in which role."""
    columns = (Column("Name"), Column("User name"), Column("Role"))
    rows = [Row((str(each.user), each.user.username, each.get_role_display())) for each in members]
    return Table("Members", columns, rows)


def invitations_schedule(invitations: Iterable[Invitation]) -> Schedule:
    """Return the open invitations for a file, without the links that let somebody in."""
    rows = [
        (
            each.for_whom,
            each.get_role_display(),
            moment_text(each.expires_at),
            str(each.made_by),
        )
        for each in invitations
    ]
    return Schedule("Open invitations", ("For whom", "Role", "Good until", "Made by"), rows)
