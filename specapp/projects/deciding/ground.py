"""What a machine's proposal rests on besides its description, read from the database."""

from collections.abc import Iterable
from datetime import date

from django.db import connection

from specapp.criteria.loader import Override as CriterionValue
from specapp.criteria.loader import load_defaults
from specapp.domain import overrides as domain
from specapp.domain.proposal import Proposal
from specapp.projects.models import Machine, Override, ProjectCriterion
from specapp.projects.worked import Ground, proposal_for

CriterionValues = tuple[tuple[str, CriterionValue], ...]


def override_as_domain(row: Override) -> domain.Override:
    """Return a stored override as the rules engine reads it."""
    return _as_domain(row, row.author.get_full_name())


def _as_domain(row: Override, author: str) -> domain.Override:
    return domain.Override(
        item=row.item,
        field=row.field,
        value=row.value,
        reason=row.reason,
        author=author,
        at=row.written_at.isoformat(timespec="minutes"),
        rule_value=row.rule_value,
        speed_rpm=row.speed_rpm,
        moved_from=row.moved_from,
        moved_from_place=row.moved_from_place,
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
    return [row for row in rows if _is_allowed(row.key, row.value)]


def _is_allowed(key: str, value: float) -> bool:
    defaults = load_defaults()
    return key in defaults and defaults.get(key).allows(value)


def criterion_values(rows: Iterable[ProjectCriterion]) -> CriterionValues:
    return _allowed((row.key, row.value, row.reason, row.source, row.dated) for row in rows)


def _allowed(told: Iterable[tuple[str, float, str, str, date | None]]) -> CriterionValues:
    return tuple((key, CriterionValue(value, *rest)) for key, value, *rest in told if _is_allowed(key, value))


def overrides_in_force(machine: Machine) -> list[Override]:
    """Return the overrides of a machine in the order they were written."""
    return list(machine.overrides.filter(undone_at=None).select_related("author"))


_IN_FORCE = """
    SELECT own.*, COALESCE(NULLIF(person."name", ''), person."username") AS "author_named"
    FROM projects_override own
    JOIN core_user person ON person."id" = own."author_id"
    WHERE own."machine_id" = %s AND own."undone_at" IS NULL
    ORDER BY own."id"
"""


def machine_ground(machine: Machine) -> Ground:
    """Return a machine's ground, in two queries for only what it holds: every look at a change asks it."""
    rows = Override.objects.raw(_IN_FORCE, [machine.pk])
    return _project_ground(machine.project_id, tuple(_as_domain(row, row.author_named) for row in rows))


def _ground(machine: Machine, rows: Iterable[Override]) -> Ground:
    return _project_ground(machine.project_id, tuple(map(override_as_domain, rows)))


def project_ground(project_id: int) -> Ground:
    """Return the ground of a machine that has no override yet."""
    return _project_ground(project_id, ())


# What a project set and what it confirmed, in plain SQL that every database reads: each look at a change asks
# it, and putting the same query together from two querysets takes twenty times as long as running it.
_SET_AND_CONFIRMED = """
    SELECT own."key", own."value", own."reason", own."source", own."dated", NULL AS "copy"
    FROM projects_projectcriterion own
    WHERE own."project_id" = %s AND own."withdrawn_at" IS NULL
    UNION ALL
    SELECT held."key", held."value", COALESCE(NULLIF(person."name", ''), person."username"), '',
        held."on", held."edition"
    FROM projects_criterionconfirmation held
    JOIN core_user person ON person."id" = held."by_id"
    WHERE held."project_id" = %s AND held."withdrawn_at" IS NULL
    ORDER BY 1
"""


def _project_ground(project_id: int, overrides: tuple[domain.Override, ...]) -> Ground:
    """Return a ground, what the project set and what it confirmed in one query."""
    with connection.cursor() as cursor:
        cursor.execute(_SET_AND_CONFIRMED, [project_id, project_id])
        told = cursor.fetchall()
    set_here, by_copy = [], []
    for key, value, text, source, day, edition in told:
        on = date.fromisoformat(day) if isinstance(day, str) else day  # SQLite knows no dates in a union
        if edition is None:
            set_here.append((key, value, text, source, on))
        else:
            by_copy.append((key, value, confirmation_told(edition, text, on)))
    return Ground(_allowed(set_here), overrides, tuple(sorted(by_copy)))


def confirmation_told(edition: str, by: str, on: date) -> str:
    """Return by which copy and by whom a value was confirmed, as proposals say it in place of an edition."""
    return f"{edition}, confirmed by {by}, {on.isoformat()}"


def machine_proposal(machine: Machine) -> Proposal:
    """Return the proposal of a stored machine as it stands."""
    return proposal_for(machine.description, machine_ground(machine))


def proposal_and_overrides(machine: Machine) -> tuple[Proposal, list[Override]]:
    """Return the proposal of a stored machine with the rows of its overrides, for pages that show both."""
    rows = overrides_in_force(machine)
    return proposal_for(machine.description, _ground(machine, rows)), rows
