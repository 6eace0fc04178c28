"""What the pages of lists read, in a fixed number of queries."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Q, TextField
from django.db.models.functions import Cast

from specapp.core.models import User
from specapp.domain.problems import InputErrors
from specapp.lists.models import StagedSheet
from specapp.projects.access import reading_drafts
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.models import Machine, Membership, Project

MOST_FOUND = 100
# Machines of which the proposals are looked through for a point's tag, at most.
_MOST_LOOKED_THROUGH = 5
_NUMBER = re.compile(r"\d{3,}")


def staged_sheet(project: Project, person: User) -> StagedSheet | None:
    return StagedSheet.objects.filter(project=project, person=person).select_related("project").first()


def readable_projects(user: User) -> list[Project]:
    """Return the projects of which a person may read the machines, by name."""
    memberships = Membership.objects.filter(reading_drafts(), user=user).select_related("project")
    return [item.project for item in memberships.order_by("project__name", "project__pk")]


@dataclass(frozen=True, slots=True)
class FoundPoint:
    """A point found by its tag."""

    machine: Machine
    key: str
    tag: str
    title: str


def machines_search(user: User, text: str) -> list[Machine]:
    """Return machines of a person's projects with these words in tag or description, each word in any."""
    words = text.split()[:8]
    if not words:
        return []
    machines = Machine.objects.filter(project__in=readable_projects(user)).select_related("project")
    machines = machines.annotate(told=Cast("description", TextField()))
    for word in words:
        machines = machines.filter(Q(tag__icontains=word) | Q(told__icontains=word))
    return list(machines.defer("counts").order_by("tag", "pk")[:MOST_FOUND])


def points_search(user: User, text: str) -> list[FoundPoint]:
    """Return points whose tag holds the text, of the machines whose number is part of it."""
    wanted = text.strip().casefold()
    numbers = _NUMBER.findall(wanted)
    if not numbers:
        return []
    asked = Q()
    for number in numbers:
        asked |= Q(tag__icontains=number)
    machines = Machine.objects.filter(asked, project__in=readable_projects(user)).select_related("project")
    found: list[FoundPoint] = []
    for machine in machines.order_by("pk")[:_MOST_LOOKED_THROUGH]:
        found += _points_tagged(machine, wanted)
    return found[:MOST_FOUND]


def _points_tagged(machine: Machine, wanted: str) -> list[FoundPoint]:
    try:
        points = machine_proposal(machine).points
    except InputErrors:
        return []  # its own page says what the present rules no longer accept
    return [
        FoundPoint(machine, point.key, point.tag, point.title)
        for point in points
        if any(wanted in tag.casefold() for tag in (point.tag, *point.tags.values()))
    ]


def machines_of(projects: Sequence[Project], ids: Sequence[int] | None = None) -> list[Machine]:
    """Return machines of these projects, those of these ids where given, by project and tag."""
    machines = Machine.objects.filter(project__in=projects).select_related("project")
    if ids is not None:
        machines = machines.filter(pk__in=ids)
    return list(machines.order_by("project__name", "tag", "pk"))
