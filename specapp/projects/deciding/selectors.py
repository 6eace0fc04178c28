"""What people have decided, as the pages read it, in a fixed number of queries."""

from specapp.projects.models import (
    CriterionConfirmation,
    Machine,
    Override,
    ProjectCriterion,
    SetpointValue,
)

MOST_HISTORY = 200


def override_history(machine: Machine) -> list[Override]:
    """Return what was undone or replaced, the latest first."""
    rows = machine.overrides.exclude(undone_at=None).select_related("author", "undone_by")
    return list(rows.order_by("-undone_at", "-pk")[:MOST_HISTORY])


def setpoint_values(machine: Machine) -> list[SetpointValue]:
    """Return the values given for setpoints that were not withdrawn, in the order they were written."""
    return list(machine.setpoint_values.filter(withdrawn_at=None).select_related("author"))


def values_given(machine: Machine, item: str, level: str) -> list[SetpointValue]:
    """Return the values given for one setpoint that were not withdrawn, in the order they were written."""
    rows = machine.setpoint_values.filter(item=item, level=level, withdrawn_at=None)
    return list(rows.select_related("author"))


def confirmations(project_id: int) -> list[CriterionConfirmation]:
    """Return the confirmations of a project that were not taken back."""
    rows = CriterionConfirmation.objects.filter(project=project_id, withdrawn_at=None)
    return list(rows.select_related("by"))


def criterion_history(project_id: int, key: str) -> list[ProjectCriterion]:
    """Return the former values of a project's criterion, the latest first."""
    rows = ProjectCriterion.objects.filter(project=project_id, key=key).exclude(withdrawn_at=None)
    return list(rows.select_related("author", "withdrawn_by").order_by("-pk")[:MOST_HISTORY])
