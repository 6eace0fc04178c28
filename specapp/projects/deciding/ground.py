"""What a machine's proposal rests on besides its description, read from the database."""

from collections.abc import Iterable

from specapp.criteria.loader import Override as CriterionValue
from specapp.criteria.loader import load_defaults
from specapp.domain import overrides as domain
from specapp.domain.proposal import Proposal
from specapp.projects.models import Machine, Override, ProjectCriterion
from specapp.projects.worked import Ground, proposal_for


def override_as_domain(row: Override) -> domain.Override:
    """Return a stored override as the rules engine reads it."""
    return domain.Override(
        item=row.item,
        field=row.field,
        value=row.value,
        reason=row.reason,
        author=row.author.get_full_name(),
        at=row.written_at.isoformat(timespec="minutes"),
        rule_value=row.rule_value,
        speed_rpm=row.speed_rpm,
    )


def criteria_in_force(project_id: int) -> list[ProjectCriterion]:
    """Return the owner's values of a project, by key."""
    rows = ProjectCriterion.objects.filter(project=project_id, withdrawn_at=None)
    return list(rows.select_related("author"))


def still_allowed(rows: Iterable[ProjectCriterion]) -> list[ProjectCriterion]:
    """Return the values that the present criteria still know and allow.

    A later edition of the rulebook may drop a criterion or narrow it; the page of criteria names those
    that no longer count.
    """
    defaults = load_defaults()
    return [row for row in rows if row.key in defaults and defaults.get(row.key).allows(row.value)]


def criterion_values(rows: Iterable[ProjectCriterion]) -> tuple[tuple[str, CriterionValue], ...]:
    return tuple(
        (row.key, CriterionValue(row.value, row.reason, row.source, row.dated)) for row in still_allowed(rows)
    )


def overrides_in_force(machine: Machine) -> list[Override]:
    """Return the overrides of a machine in the order they were written."""
    return list(machine.overrides.filter(undone_at=None).select_related("author"))


def machine_ground(machine: Machine) -> Ground:
    """Return a machine's ground, in two queries."""
    return _ground(machine, overrides_in_force(machine))


def _ground(machine: Machine, rows: Iterable[Override]) -> Ground:
    return Ground(
        criterion_values(criteria_in_force(machine.project_id)), tuple(map(override_as_domain, rows))
    )


def project_ground(project_id: int) -> Ground:
    """Return the ground of a machine that has no override yet."""
    return Ground(criterion_values(criteria_in_force(project_id)))


def machine_proposal(machine: Machine) -> Proposal:
    """Return the proposal of a stored machine as it stands."""
    return proposal_for(machine.description, machine_ground(machine))


def proposal_and_overrides(machine: Machine) -> tuple[Proposal, list[Override]]:
    """Return the proposal of a stored machine with the rows of its overrides, for pages that show both."""
    rows = overrides_in_force(machine)
    return proposal_for(machine.description, _ground(machine, rows)), rows
