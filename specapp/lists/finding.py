"""What a search has found, as tables."""

from collections.abc import Iterable

from django.urls import reverse
from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.lists.selectors import FoundPoint
from specapp.projects.models import Machine
from specapp.projects.presenting.tables import Column, Row, Table, filed


def machines_table(machines: Iterable[Machine]) -> Table:
    columns = (
        Column("Tag", "nowrap"),
        Column("Title, service", filed=("Title", "Service")),
        Column("Project"),
    )
    return Table("Machines found", columns, [_machine(each) for each in machines])


def _machine(machine: Machine) -> Row:
    title, service = (str(machine.description.get(name) or "") for name in ("title", "service"))
    place = [machine.project_id, machine.pk]
    return Row(
        (
            _link(reverse("projects:machine-show", args=place), machine.tag),
            filed(", ".join(part for part in (title, service) if part), title, service),
            _link(reverse("projects:project-show", args=place[:1]), str(machine.project)),
        )
    )


def points_table(points: Iterable[FoundPoint]) -> Table:
    columns = (Column("Tag", "nowrap"), Column("Point"), Column("Machine"), Column("Project"))
    rows = [
        Row(
            (
                _link(
                    reverse("projects:point-show", args=[each.machine.project_id, each.machine.pk, each.key]),
                    each.tag,
                ),
                each.title,
                each.machine.tag,
                str(each.machine.project),
            )
        )
        for each in points
    ]
    return Table("Points found", columns, rows)


def _link(address: str, text: str) -> SafeString:
    return SafeString(f'<a href="{escape(address)}">{escape(text)}</a>')
