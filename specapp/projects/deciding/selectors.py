"""What people have decided, as the pages read it, in a fixed number of queries."""

from specapp.projects.models import Machine, Override, SetpointValue

MOST_HISTORY = 200


def override_history(machine: Machine) -> list[Override]:
    """Return what was undone or replaced, the latest first."""
    rows = machine.overrides.exclude(undone_at=None).select_related("author", "undone_by")
    return list(rows.order_by("-undone_at", "-pk")[:MOST_HISTORY])


def setpoint_values(machine: Machine) -> list[SetpointValue]:
    """Return the values given for setpoints that were not withdrawn, in the order they were written."""
    return list(machine.setpoint_values.filter(withdrawn_at=None).select_related("author"))
