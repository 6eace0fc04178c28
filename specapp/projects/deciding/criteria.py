"""The owner's values for criteria, over the defaults, and who has confirmed a value from memory."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime

from django.db import transaction

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.criteria.criterion import FROM_MEMORY
from specapp.criteria.loader import Override as CriterionValue
from specapp.criteria.loader import load_defaults, read_criteria_file
from specapp.criteria.ordering import out_of_order
from specapp.domain.problems import NOTHING, InputErrors, Problem, shown
from specapp.projects.deciding.ground import criteria_in_force, criterion_values
from specapp.projects.errors import CriterionMoved
from specapp.projects.models import CriterionConfirmation, Machine, Project, ProjectCriterion
from specapp.projects.worked import Ground, proposal_for

MOST_TEXT = 500


@transaction.atomic
def criterion_set(
    *,
    project: Project,
    key: str,
    value: CriterionValue,
    expected_row: int | None,
    author: User,
    now: datetime,
) -> ProjectCriterion:
    """Set the project's value of a criterion; the former one stays as history.

    `expected_row` is the row that the author saw in force, None for none.

    Raises
    ------
    InputErrors
        Where the value is not allowed, has passed its partner, or would make a machine of the project
        unreadable; or where there is no reason.
    CriterionMoved
        Where somebody else has set or withdrawn it since.
    """
    locked = _locked(project)
    was = _in_force(locked, key)
    if (was.pk if was else None) != expected_row:
        raise CriterionMoved
    _check(locked, {key: value})
    return _replace(locked, key, value, was, author, now)


@transaction.atomic
def criteria_import(*, project: Project, data: bytes, author: User, now: datetime) -> list[ProjectCriterion]:
    """Set all values of a criteria file (TOML) at once, or none; those alike already are left as they are."""
    locked = _locked(project)
    values = read_criteria_file(data)
    _check(locked, values)
    changed = []
    for key, value in values.items():
        was = _in_force(locked, key)
        if was is None or _value_of(was) != value:
            changed.append(_replace(locked, key, value, was, author, now))
    return changed


@transaction.atomic
def criterion_withdraw(*, criterion: ProjectCriterion, author: User, now: datetime) -> None:
    """Let the default stand again. Raises `CriterionMoved` where it is withdrawn already."""
    locked = _locked(criterion.project)
    row = _in_force(locked, criterion.key)
    if row is None or row.pk != criterion.pk:
        raise CriterionMoved
    others = {each.key: _value_of(each) for each in criteria_in_force(locked.pk) if each.pk != row.pk}
    _check_order(locked, others)
    _withdraw(row, author, now)
    _recount_later(locked)
    entry_append(
        author=author,
        action="criterion.withdraw",
        subject=row,
        now=now,
        project_id=locked.pk,
        data={"key": row.key, "was": row.value},
    )


@transaction.atomic
def criterion_confirm(
    *, project: Project, key: str, edition: str, on: date, author: User, now: datetime
) -> CriterionConfirmation:
    """Record that a value from memory was held against a licensed copy; it speaks of the value of now.

    Raises `InputErrors` where the criterion is not from memory, or no edition is named.
    """
    problems = []
    edition = edition.strip()
    defaults = load_defaults()
    if key not in defaults or defaults.get(key).status != FROM_MEMORY:
        problems.append(Problem("key", shown(key), "a criterion whose value is from memory"))
    if not edition or len(edition) > 200:
        found = shown(edition) if edition else NOTHING
        problems.append(Problem("edition", found, "standard and edition of the copy, at most 200 characters"))
    if on > now.date():
        problems.append(Problem("on", on.isoformat(), f"a date up to {now.date().isoformat()}"))
    if problems:
        raise InputErrors(problems)
    locked = _locked(project)
    own = CriterionConfirmation.objects.filter(project=locked, key=key, by=author, withdrawn_at=None)
    own.update(withdrawn_at=now)
    row = CriterionConfirmation(
        project=locked,
        key=key,
        value=defaults.value(key),
        edition=edition,
        on=on,
        by=author,
        written_at=now,
    )
    row.full_clean()
    row.save()
    _recount_later(locked)
    entry_append(
        author=author,
        action="criterion.confirm",
        subject=row,
        now=now,
        project_id=locked.pk,
        data={"key": key, "value": row.value, "edition": edition, "on": on.isoformat()},
    )
    return row


@transaction.atomic
def confirmation_withdraw(*, confirmation: CriterionConfirmation, author: User, now: datetime) -> None:
    """Take one's confirmation back."""
    CriterionConfirmation.objects.filter(pk=confirmation.pk, withdrawn_at=None).update(withdrawn_at=now)
    _recount_later(confirmation.project)
    entry_append(
        author=author,
        action="criterion.unconfirm",
        subject=confirmation,
        now=now,
        project_id=confirmation.project_id,
        data={"key": confirmation.key, "edition": confirmation.edition},
    )


def _locked(project: Project) -> Project:
    return Project.objects.select_for_update().get(pk=project.pk)


def _in_force(project: Project, key: str) -> ProjectCriterion | None:
    return ProjectCriterion.objects.filter(project=project, key=key, withdrawn_at=None).first()


def _value_of(row: ProjectCriterion) -> CriterionValue:
    return CriterionValue(row.value, row.reason, row.source, row.dated)


def _check(project: Project, values: Mapping[str, CriterionValue]) -> None:
    problems = [problem for key, value in values.items() for problem in _problems_of(key, value)]
    if problems:
        raise InputErrors(problems)
    _check_order(project, {**dict(criterion_values(criteria_in_force(project.pk))), **values})


def _problems_of(key: str, value: CriterionValue) -> list[Problem]:
    defaults = load_defaults()
    if key not in defaults:
        return [Problem("key", shown(key), "a key of the list of criteria")]
    criterion, problems = defaults.get(key), []
    if not criterion.allows(value.value):
        problems.append(Problem("value", shown(value.value), criterion.allowed()))
    if not value.reason.strip() or len(value.reason) > MOST_TEXT:
        found = shown(value.reason) if value.reason.strip() else NOTHING
        problems.append(Problem("reason", found, f"a reason of 1 to {MOST_TEXT} characters"))
    if len(value.source) > MOST_TEXT:
        problems.append(Problem("source", shown(value.source), f"text of at most {MOST_TEXT} characters"))
    return problems


def _check_order(project: Project, values: Mapping[str, CriterionValue]) -> None:
    """Raise where a pair has come out of order, in the project or with a machine's own values over it."""
    problems = out_of_order(load_defaults().with_overrides(values, origin="project"))
    if problems:
        raise InputErrors(problems)
    ground = Ground(tuple(values.items()))
    for tag, description in Machine.objects.filter(project=project).values_list("tag", "description"):
        if not description.get("criteria"):
            continue
        try:
            proposal_for(description, ground)
        except InputErrors as errors:
            # What else may be wrong with a description stored long ago is shown on its own page.
            own = (each for each in errors.problems if each.path.startswith("criteria["))
            problems += [replace(each, name=tag) for each in own]
    if problems:
        raise InputErrors(problems)


def _replace(
    project: Project,
    key: str,
    value: CriterionValue,
    was: ProjectCriterion | None,
    author: User,
    now: datetime,
) -> ProjectCriterion:
    if was is not None:
        _withdraw(was, author, now)
    row = ProjectCriterion(
        project=project,
        key=key,
        value=value.value,
        reason=value.reason.strip(),
        source=value.source.strip(),
        dated=value.dated,
        author=author,
        written_at=now,
    )
    row.full_clean()
    row.save()
    _recount_later(project)
    entry_append(
        author=author,
        action="criterion.set",
        subject=row,
        now=now,
        project_id=project.pk,
        data={
            "key": key,
            "was": was.value if was else None,
            "is": row.value,
            "reason": row.reason,
            "source": row.source,
        },
    )
    return row


def _withdraw(row: ProjectCriterion, author: User, now: datetime) -> None:
    row.withdrawn_at, row.withdrawn_by = now, author
    row.save(update_fields=["withdrawn_at", "withdrawn_by"])


def _recount_later(project: Project) -> None:
    """Let the lists say that the project's machines are to be worked out anew."""
    Machine.objects.filter(project=project).update(counted_by="")
