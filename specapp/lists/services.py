"""Changes made by lists of machines: whole or not at all, each machine with its own entry in the record."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain.overrides import MOST_REASON
from specapp.domain.problems import InputErrors, Problem
from specapp.lists.errors import NothingChosen, TagsTaken
from specapp.lists.models import ColumnMeaning, StagedSheet
from specapp.lists.preview import FoundMachine
from specapp.lists.sheets import BroughtSheet, likeliest_sheet
from specapp.projects.deciding.criteria import MOST_TEXT
from specapp.projects.deciding.ground import criteria_in_force, project_ground, still_allowed
from specapp.projects.models import Machine, Override, Project, ProjectCriterion
from specapp.projects.worked import Ground, described, description_checksum, proposal_for


@transaction.atomic
def sheet_stage(
    *, project: Project, name: str, sheets: Sequence[BroughtSheet], author: User, now: datetime
) -> StagedSheet:
    """Keep a file's sheets for the preview, in place of what the person brought before.

    The likeliest of them is taken for the list of machines until the person says otherwise.
    """
    remembered = dict(ColumnMeaning.objects.filter(project=project).values_list("heading", "path"))
    meanings = {heading: path or "-" for heading, path in remembered.items()}
    staged, _ = StagedSheet.objects.update_or_create(
        project=project,
        person=author,
        defaults={
            "name": name[:200],
            "sheets": [asdict(sheet) for sheet in sheets],
            "sheet": likeliest_sheet(sheets, meanings),
            "head_row": 0,
            "meanings": meanings,
            "brought_at": now,
        },
    )
    return staged


def place_set(*, staged: StagedSheet, sheet: int, head_row: int) -> None:
    """Say which sheet has the machines, and in which row its headings are; 0 for the likeliest.

    Raises `InputErrors` for a sheet or a row that there is not.
    """
    problems = []
    names = [each["name"] for each in staged.sheets if not each["refused"]]
    if not 0 <= sheet < len(staged.sheets) or staged.sheets[sheet]["refused"]:
        problems.append(Problem("sheet", str(sheet), f"one of those that are read: {', '.join(names)}"))
    elif not 0 <= head_row <= len(staged.sheets[sheet]["grid"]):
        rows = len(staged.sheets[sheet]["grid"])
        problems.append(Problem("headings in row", str(head_row), f"a row of the sheet, 1 to {rows}"))
    if problems:
        raise InputErrors(problems)
    staged.sheet, staged.head_row = sheet, head_row
    staged.save(update_fields=["sheet", "head_row"])


@transaction.atomic
def meanings_set(*, staged: StagedSheet, meanings: Mapping[str, str]) -> None:
    """Take over what columns mean, for this sheet and for every later one of the project."""
    staged.meanings = {**staged.meanings, **meanings}
    staged.save(update_fields=["meanings"])
    for heading, path in meanings.items():
        kept = "" if path == "-" else path
        if path:
            ColumnMeaning.objects.update_or_create(
                project=staged.project, heading=heading, defaults={"path": kept}
            )


def sheet_drop(*, staged: StagedSheet) -> None:
    staged.delete()


@transaction.atomic
def machines_import(
    *, staged: StagedSheet, machines: Sequence[FoundMachine], author: User, now: datetime
) -> list[Machine]:
    """Add these machines of a sheet and forget the sheet.

    Raises `NothingChosen`, and `TagsTaken` where another machine of a tag came in meanwhile; then nothing
    is added.
    """
    chosen = [machine for machine in machines if machine.is_sound]
    if not chosen or len(chosen) != len(machines):
        raise NothingChosen
    added = machines_add(
        project=staged.project,
        documents=[machine.document for machine in chosen],
        author=author,
        now=now,
        origin={"sheet": staged.name},
    )
    staged.delete()
    return added


@transaction.atomic
def machines_add(
    *,
    project: Project,
    documents: Sequence[Mapping[str, Any]],
    author: User,
    now: datetime,
    origin: Mapping[str, Any],
) -> list[Machine]:
    """Add machines as described; their proposals are worked out when they are opened.

    Raises `InputErrors` with everything wrong with a description, and `TagsTaken`.
    """
    ground = project_ground(project.pk)
    rows = [_row(project, document, ground, author, now) for document in documents]
    wanted = [row.tag for row in rows]
    present = {tag.casefold() for tag in project.machines.values_list("tag", flat=True)}
    taken = [tag for tag in wanted if tag.casefold() in present]
    if taken or len({tag.casefold() for tag in wanted}) < len(wanted):
        raise TagsTaken(taken or wanted)
    try:
        with transaction.atomic():
            added = Machine.objects.bulk_create(rows)
    except IntegrityError as error:
        raise TagsTaken(wanted) from error
    for machine in added:
        entry_append(
            author=author,
            action="machine.create",
            subject=machine,
            now=now,
            project_id=project.pk,
            data={"description": machine.description, **origin},
        )
    return added


def _row(
    project: Project, document: Mapping[str, Any], ground: Ground, author: User, now: datetime
) -> Machine:
    read = described(document, ground)
    return Machine(
        project=project,
        tag=read.tag,
        description=dict(document),
        description_checksum=description_checksum(document),
        counts={},
        counted_by="",
        created_at=now,
        created_by=author,
        updated_at=now,
        updated_by=author,
    )


@transaction.atomic
def machines_copy(
    *,
    project: Project,
    sources: Iterable[tuple[Machine, str]],
    with_overrides: bool,
    author: User,
    now: datetime,
) -> list[Machine]:
    """Start machines from earlier ones: facts, their criteria and schemes; never their setpoint values.

    `sources` are the earlier machines, each with the tag of the new one. The owner's values of their
    project come along as the machine's own, unless this project has the same in force. Overrides come
    along where asked for, to be confirmed again one by one. Raises as `machines_add`, and `NothingChosen`.
    """
    pairs = list(sources)
    if not pairs:
        raise NothingChosen
    carrying = _CarriedCriteria(project)
    added = machines_add(
        project=project,
        documents=[carrying.document(source, tag) for source, tag in pairs],
        author=author,
        now=now,
        origin={"from": [f"{source.project} {source.tag}" for source, _ in pairs]},
    )
    if with_overrides:
        for (source, _), machine in zip(pairs, added, strict=True):
            _carry_overrides(source, machine, author, now)
    return added


class _CarriedCriteria:
    """Descriptions of machines of other projects, with what their owner asked for told in them."""

    def __init__(self, project: Project) -> None:
        self._project = project
        self._here = project_ground(project.pk)
        self._of_projects: dict[int, Sequence[ProjectCriterion]] = {}

    def document(self, source: Machine, tag: str) -> dict[str, Any]:
        """Return the description; raises `InputErrors` where two owners' values cannot stand together."""
        document = {**source.description, "tag": tag}
        if source.project_id == self._project.pk:
            return document
        here = {key: value.value for key, value in self._here.criteria}
        carried = {
            row.key: {"value": row.value, "reason": _reason_of(source, row)}
            for row in self._of(source.project_id)
            if here.get(row.key) != row.value
        }
        if carried:
            document["criteria"] = {**carried, **document.get("criteria", {})}
            proposal_for(document, self._here)
        return document

    def _of(self, project_id: int) -> Sequence[ProjectCriterion]:
        if project_id not in self._of_projects:
            self._of_projects[project_id] = still_allowed(criteria_in_force(project_id))
        return self._of_projects[project_id]


def _reason_of(source: Machine, row: ProjectCriterion) -> str:
    told = f"Owner's value of {source.project}: {row.reason}"
    return (f"{told} ({row.source})" if row.source else told)[:MOST_TEXT]


def _carry_overrides(source: Machine, machine: Machine, author: User, now: datetime) -> None:
    for row in source.overrides.filter(undone_at=None):
        carried = Override(
            machine=machine,
            item=row.item,
            field=row.field,
            value=row.value,
            reason=f"From {source.tag}: {row.reason}"[:MOST_REASON],
            author=author,
            written_at=now,
            rule_value=row.rule_value,
            # It was never written against this machine's shaft: as if against a standing one, so that it
            # is to be confirmed again whatever the speed.
            speed_rpm=0.0,
        )
        carried.full_clean()
        carried.save()
        entry_append(
            author=author,
            action="override.inherit",
            subject=carried,
            now=now,
            project_id=machine.project_id,
            data={
                "machine": machine.pk,
                "item": row.item,
                "field": row.field,
                "is": row.value,
                "from": f"{source.project} {source.tag}",
                "reason": row.reason,
            },
        )
