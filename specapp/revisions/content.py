"""revision/1: everything a revision rests on and what came of it, as bytes with a checksum."""

import hashlib
from functools import lru_cache
from typing import Any

import msgspec

from specapp.domain.proposal import Proposal
from specapp.projects.deciding.ground import (
    confirmation_told,
    criteria_in_force,
    overrides_in_force,
    still_allowed,
)
from specapp.projects.deciding.selectors import setpoint_values
from specapp.projects.models import CriterionConfirmation, Machine, Override, ProjectCriterion, SetpointValue
from specapp.revisions.models import StoredFile

FORMAT = "revision/1"
_KEPT = 16


class Content(msgspec.Struct, frozen=True):
    """The frozen content of a revision; every field but the proposal is what people entered or decided."""

    format: str
    tag: str
    description: dict[str, Any]
    overrides: list[dict[str, Any]]
    criteria: list[dict[str, Any]]
    setpoint_values: list[dict[str, Any]]
    rulebook_version: str
    criteria_digest: str
    proposal: Proposal


class Decided(msgspec.Struct, frozen=True):
    """The rows that people's decisions about a machine stand in, as they are now."""

    overrides: list[Override]
    criteria: list[ProjectCriterion]
    values: list[SetpointValue]


def decided(machine: Machine) -> Decided:
    """Return what is decided about a machine, in three queries."""
    return Decided(
        overrides_in_force(machine),
        still_allowed(criteria_in_force(machine.project_id)),
        setpoint_values(machine),
    )


def basis_of(machine: Machine, rows: Decided) -> str:
    """Return a checksum of what a person could change; the rows of decisions are never rewritten.

    Signatures are given over the checksum of the content; the basis tells whether the machine has left that
    content since. A rulebook that says more now does not move it, and neither does a confirmation made after
    the freezing: it changes no value and no setting, the content stays true as it was frozen, and whoever
    signs is asked to accept one value from memory less (`acceptance.to_accept`). A confirmation that the
    content names and that is taken back makes the content untrue: see `taken_back`.
    """
    parts = [
        machine.description_checksum,
        [[row.pk, row.item] for row in rows.overrides],
        [row.pk for row in rows.criteria],
        [[row.pk, row.item] for row in rows.values],
    ]
    return hashlib.sha256(msgspec.json.encode(parts)).hexdigest()


def taken_back(machine: Machine, content: Content) -> list[str]:
    """Return the criteria that a content calls confirmed by a confirmation that was taken back since.

    One that was made again in the same words counts as standing.
    """
    rows = CriterionConfirmation.objects.filter(project=machine.project_id).select_related("by")
    told: dict[bool, set[tuple[str, str]]] = {True: set(), False: set()}
    for row in rows:
        words = confirmation_told(row.edition, str(row.by), row.on)
        told[row.withdrawn_at is None].add((row.key, words))
    gone = told[False] - told[True]
    return [row["key"] for row in content.proposal.criteria if (row["key"], row["edition"]) in gone]


def content_bytes(machine: Machine, rows: Decided, proposal: Proposal) -> bytes:
    """Return the content of a machine as it stands, the same bytes for the same content."""
    return msgspec.json.encode(
        Content(
            FORMAT,
            machine.tag,
            _in_one_order(machine.description),
            [_override(row) for row in rows.overrides],
            [_criterion(row) for row in rows.criteria],
            [_value(row) for row in rows.values],
            proposal.rulebook_version,
            proposal.criteria_digest,
            proposal,
        )
    )


def _in_one_order(description: dict[str, Any]) -> dict[str, Any]:
    """Return a description with its fields sorted: databases keep them in orders of their own."""
    return msgspec.json.decode(msgspec.json.encode(description, order="deterministic"))


def _override(row: Override) -> dict[str, Any]:
    names = ["item", "field", "value", "reason", "rule_value", "speed_rpm"]
    # Said only of one that was moved: the content of every other stays the same bytes.
    names += [name for name in ("moved_from", "moved_from_place") if getattr(row, name)]
    return {name: getattr(row, name) for name in names} | _written(row)


def _criterion(row: ProjectCriterion) -> dict[str, Any]:
    names = ("key", "value", "reason", "source", "dated")
    return {name: getattr(row, name) for name in names} | _written(row)


def _value(row: SetpointValue) -> dict[str, Any]:
    names = (
        "item",
        "level",
        "value",
        "low",
        "unit",
        "state",
        "document",
        "revision",
        "person",
        "dated",
        "note",
    )
    return {name: getattr(row, name) for name in names} | _written(row)


def _written(row: Any) -> dict[str, Any]:
    return {"author": row.author.get_full_name(), "written_at": row.written_at.isoformat(timespec="seconds")}


def stored(data: bytes) -> StoredFile:
    """Keep bytes under their checksum, once."""
    digest = hashlib.sha256(data).hexdigest()
    row, _ = StoredFile.objects.get_or_create(pk=digest, defaults={"size": len(data), "content": data})
    return row


def bytes_of(checksum: str) -> bytes:
    return bytes(StoredFile.objects.values_list("content", flat=True).get(pk=checksum))


def content_of(checksum: str) -> Content:
    """Return a stored content; the last few stay in memory, for they never change."""
    return _read(checksum)


@lru_cache(maxsize=_KEPT)
def _read(checksum: str) -> Content:
    return read_content(bytes_of(checksum))


def read_content(data: bytes) -> Content:
    return msgspec.json.decode(data, type=Content)


def working_content(machine: Machine, proposal: Proposal, rows: Decided | None = None) -> Content:
    """Return a machine as it stands in the shape of a revision, to be compared with one."""
    return read_content(content_bytes(machine, rows or decided(machine), proposal))
