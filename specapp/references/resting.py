"""What rests on an earlier revision of a document: values of descriptions, and setpoints given by it."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from specapp.core.models import User
from specapp.projects.deciding.setpoint_values import GivenValue, Provenance, setpoint_values_write
from specapp.projects.describing.typed import typed_of
from specapp.projects.models import Machine, SetpointValue
from specapp.references.errors import NothingChosen
from specapp.references.models import DocumentRevision, ReferenceDocument
from specapp.references.sourcing import description_save, field_name, field_words, value_words
from specapp.rulebook.fact_names import pinion_names

FACT, SETPOINT = "fact", "setpoint"


@dataclass(frozen=True, slots=True)
class Resting:
    """One value that names a document by another revision than the one that counts.

    `key` names it in a form: kind, machine and path, or kind and row.
    """

    kind: str
    key: str
    machine_id: int
    tag: str
    what: str
    value: str
    revision: str
    page: str
    state: str


def same_text(one: str, other: str) -> bool:
    """Tell whether two numbers or revisions are the same to a reader."""
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()


def resting_on_earlier(document: ReferenceDocument, current: DocumentRevision) -> list[Resting]:
    """Return the values and setpoints of the project that rest on an earlier or an unnamed revision."""
    machines = Machine.objects.filter(project=document.project_id)
    found: list[Resting] = []
    for machine_id, tag, description in machines.values_list("pk", "tag", "description"):
        found += _facts(document, current, machine_id, tag, description)
    values = SetpointValue.objects.filter(machine__project=document.project_id, withdrawn_at=None)
    latest: dict[tuple[int, str, str, str], SetpointValue] = {}
    for row in values.select_related("machine"):
        latest[row.machine_id, row.item, row.level, row.state] = row
    found += [
        _setpoint(row)
        for row in latest.values()
        if same_text(row.document, document.number) and not same_text(row.revision, current.revision)
    ]
    return found


def _facts(
    document: ReferenceDocument,
    current: DocumentRevision,
    machine_id: int,
    tag: str,
    description: Mapping[str, Any],
) -> Iterable[Resting]:
    sources = description.get("sources") or {}
    mine = {
        path: source
        for path, source in sources.items()
        if same_text(source.get("document") or "", document.number)
        and not same_text(source.get("revision") or "", current.revision)
    }
    typed = typed_of(description) if mine else {}
    names = pinion_names(description)
    for path, source in mine.items():
        yield Resting(
            kind=FACT,
            key=f"{FACT}:{machine_id}:{path}",
            machine_id=machine_id,
            tag=tag,
            what=field_words(field_name(path), names),
            value=value_words(field_name(path), typed.get(field_name(path), "")),
            revision=source.get("revision") or "",
            page=source.get("page") or "",
            state=source.get("state") or "",
        )


def _setpoint(row: SetpointValue) -> Resting:
    low = "" if row.low is None else f" / {row.low:g}"
    return Resting(
        kind=SETPOINT,
        key=f"{SETPOINT}:{row.pk}",
        machine_id=row.machine_id,
        tag=row.machine.tag,
        what=f"{row.level} of {row.item}",
        value=f"{row.value:g}{low} {row.unit}",
        revision=row.revision,
        page="",
        state=row.get_state_display(),
    )


@transaction.atomic
def resting_carry(
    *,
    document: ReferenceDocument,
    current: DocumentRevision,
    chosen: Collection[str],
    versions: Mapping[int, int],
    author: User,
    now: datetime,
) -> int:
    """Say that chosen values stand alike in the revision that counts; return how many.

    `versions` are those of the machines as the author saw them. Setpoints are written down anew, the
    former entry stays as history. Raises `NothingChosen`, and `StaleVersion` where a machine has changed.
    """
    resting = [each for each in resting_on_earlier(document, current) if each.key in chosen]
    if not resting:
        raise NothingChosen
    machines = {row.pk: row for row in Machine.objects.filter(pk__in={each.machine_id for each in resting})}
    for machine_id, machine in machines.items():
        expected = versions.get(machine_id, 0)
        own = [each for each in resting if each.machine_id == machine_id]
        _carry_setpoints(
            machine, [each for each in own if each.kind == SETPOINT], current, expected, author, now
        )
        paths = [each.key.split(":", 2)[2] for each in own if each.kind == FACT]
        if paths:
            description_save(machine, _revised(machine.description, paths, current), expected, author, now)
    return len(resting)


def _revised(
    description: Mapping[str, Any], paths: Iterable[str], current: DocumentRevision
) -> dict[str, Any]:
    sources = dict(description["sources"])
    for path in paths:
        sources[path] = {**sources[path], "revision": current.revision}
    return {**description, "sources": sources}


def _carry_setpoints(
    machine: Machine,
    resting: Iterable[Resting],
    current: DocumentRevision,
    expected: int,
    author: User,
    now: datetime,
) -> None:
    for each in resting:
        row = SetpointValue.objects.get(pk=int(each.key.split(":")[1]))
        setpoint_values_write(
            machine=machine,
            expected_version=expected,
            values=[GivenValue(row.item, row.level, row.value, row.low, row.unit)],
            provenance=Provenance(
                row.state,
                row.document,
                current.revision,
                row.person,
                current.dated or current.received_on,
                f"stands alike in revision {current.revision}; entered from {row.revision or 'no revision'}",
            ),
            author=author,
            now=now,
        )
