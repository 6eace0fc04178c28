"""Checklists: made from content, filled entry by entry, signed."""

import hashlib
from datetime import datetime

import msgspec
from django.db import IntegrityError, transaction

from specapp.bench.checklists import ChecklistItem, checklist
from specapp.commissioning.errors import Refused, Stale
from specapp.commissioning.models import Checklist, ChecklistEntry, ChecklistSignature, Part, Result
from specapp.commissioning.services.passwords import password_checked
from specapp.commissioning.services.trains import tags_in, trains_of
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.models import Machine
from specapp.revisions.content import content_bytes, content_of, decided, stored
from specapp.revisions.models import Revision, State, StoredFile


def items_of(row: Checklist) -> tuple[ChecklistItem, ...]:
    return msgspec.convert(row.items, tuple[ChecklistItem, ...])


@transaction.atomic
def checklist_make(
    *, machine: Machine, stage: str, revision: Revision | None, train: str = "", author: User, now: datetime
) -> Checklist:
    """Make the checklist of a stage from an issued revision, or from the machine as it stands.

    Raises `Refused` where the revision is not issued or there is nothing to test, `InputErrors` where no
    proposal can be made of the machine.
    """
    if revision is None:
        file = stored(content_bytes(machine, decided(machine), machine_proposal(machine)))
        basis = f"working, v{machine.version}, not issued"
    elif revision.state == State.ISSUED:
        file = StoredFile.objects.get(pk=revision.checksum)
        basis = f"revision {revision.label}"
    else:
        raise Refused(
            f"Revision {revision.label} is not issued: take an issued one, or the machine as it is."
        )
    proposal = content_of(file.pk).proposal
    trains = trains_of(proposal)
    if train not in (trains or ("",)):
        allowed = f"one of the trains {', '.join(trains)}" if trains else "no train, the machine is one"
        raise Refused(f"Found {train or 'no train'}; allowed is {allowed}.")
    tags = tags_in(proposal, train)
    items = tuple(
        msgspec.structs.replace(item, tags=tuple(tags.get(tag, tag) for tag in item.tags))
        for item in checklist(proposal, stage)
    )
    if not items:
        raise Refused("This machine has nothing to test.")
    row = Checklist(
        machine=machine,
        stage=stage,
        train=train,
        revision=revision,
        content=file,
        basis=basis,
        items=msgspec.to_builtins(items),
        made_by=author,
        made_at=now,
    )
    row.full_clean()
    row.save()
    _record(
        "checklist.create",
        row,
        author,
        now,
        {"stage": stage, "train": train, "basis": basis, "items": len(items)},
    )
    return row


def verdict_of(item: ChecklistItem, as_found: float | None, as_left: float | None) -> Result | None:
    """Return what the number that stands says of an item; None where there is no number to judge.

    As left stands over as found; a number on its limit passes.
    """
    value = as_left if as_left is not None else as_found
    if item.entry != "number" or value is None:
        return None
    low_enough = item.low is None or value >= item.low - 1e-9
    high_enough = item.high is None or value <= item.high + 1e-9
    return Result.PASS if low_enough and high_enough else Result.FAIL


@transaction.atomic
def entry_write(
    *,
    row: Checklist,
    item: ChecklistItem,
    seen: int,
    result: str,
    as_found: float | None,
    as_left: float | None,
    remark: str,
    author: User,
    now: datetime,
) -> ChecklistEntry:
    """Write what came of an item; `seen` is the sequence of the entry that the person saw, 0 for none.

    Raises
    ------
    Refused
        Where a pass is told against a number outside its limits, a number is missing, or a remark is
        missing for a fail, for an item that does not apply, or for a correction after signing.
    Stale
        Where somebody has written to the item meanwhile.
    """
    Checklist.objects.select_for_update().get(pk=row.pk)
    last = row.entries.filter(item_key=item.key).order_by("-sequence").first()
    standing = last.sequence if last else 0
    if standing != seen:
        name = last.person_name if last else "nobody"
        raise Stale(f"{name} has written to this item meanwhile. Compare, then save again to add yours.")
    is_correction = row.signatures.exists()
    _check(item, result, as_found, as_left, remark, is_correction)
    entry = ChecklistEntry(
        checklist=row,
        item_key=item.key,
        sequence=standing + 1,
        result=result,
        as_found=as_found,
        as_left=as_left,
        remark=remark,
        is_correction=is_correction,
        person=author,
        person_name=author.get_full_name()[:200],
        entered_at=now,
    )
    entry.full_clean(validate_constraints=False)
    try:
        with transaction.atomic():
            entry.save()
    except IntegrityError as error:
        raise Stale("Somebody has written to this item meanwhile. Compare, then save again.") from error
    told = {"item": item.key, "result": result, "as_found": as_found, "as_left": as_left, "remark": remark}
    _record("checklist.write", row, author, now, told | {"correction": is_correction})
    return entry


def _check(
    item: ChecklistItem,
    result: str,
    as_found: float | None,
    as_left: float | None,
    remark: str,
    is_correction: bool,
) -> None:
    by_number = verdict_of(item, as_found, as_left)
    if item.entry == "number" and by_number is None and result != Result.NOT_APPLICABLE:
        raise Refused("Found no number; allowed: the value as found, as left, or both.")
    if by_number == Result.FAIL and result == Result.PASS:
        raise Refused("Found a pass; the value that stands is outside its limits, so allowed is fail.")
    if not remark and result == Result.FAIL:
        raise Refused("A fail needs a remark: what was seen, and what becomes of it.")
    if not remark and result == Result.NOT_APPLICABLE:
        raise Refused("An item that does not apply needs a remark that says why.")
    if not remark and is_correction:
        raise Refused("This checklist is signed: a correction needs a remark that says why.")


def standing_entries(row: Checklist) -> dict[str, ChecklistEntry]:
    """Return the entry that stands of each item, by key."""
    return {entry.item_key: entry for entry in row.entries.order_by("sequence", "pk")}


def checklist_checksum(row: Checklist, entries: list[ChecklistEntry]) -> str:
    """Return the SHA-256 of what a signature is given over: content, items and every entry."""
    told = [
        [
            entry.item_key,
            entry.sequence,
            entry.result,
            entry.as_found,
            entry.as_left,
            entry.remark,
            entry.person_id,
            entry.entered_at.isoformat(),
        ]
        for entry in entries
    ]
    items = msgspec.to_builtins(items_of(row))
    return hashlib.sha256(msgspec.json.encode([row.content_id, items, told])).hexdigest()


def cannot_sign(row: Checklist, part: str, person: User) -> str:
    """Return why a person cannot sign as this now, nothing where nothing is in the way."""
    items, done = items_of(row), standing_entries(row)
    missing = sum(item.key not in done for item in items)
    if missing:
        return f"{missing} of {len(items)} items have no entry yet."
    count = row.entries.count()
    given = {each.part: each for each in row.signatures.filter(entry_count=count)}
    if part in given:
        return f"{given[part].person_name} has signed these entries as {Part(part).label} already."
    if part == Part.WITNESSED and Part.TESTED not in given:
        return "Not in turn: whoever tested signs first."
    if part == Part.WITNESSED and given[Part.TESTED].person_id == person.pk:
        return "You have signed as tested; the witness is another person."
    return ""


def signature_give(
    *, row: Checklist, part: str, checksum: str, person: User, password: str, now: datetime
) -> ChecklistSignature:
    """Sign every entry so far. Raises `Refused` as `cannot_sign` and for a wrong password, `Stale`."""
    password_checked(row, person, password, now)
    with transaction.atomic():
        Checklist.objects.select_for_update().get(pk=row.pk)
        problem = cannot_sign(row, part, person)
        if problem:
            raise Refused(problem)
        entries = list(row.entries.all())
        if checklist_checksum(row, entries) != checksum:
            raise Stale("An entry was added since this page was opened. Read the list again before you sign.")
        signature = ChecklistSignature(
            checklist=row,
            part=part,
            entry_count=len(entries),
            checksum=checksum,
            person=person,
            person_name=person.get_full_name()[:200],
            signed_at=now,
        )
        signature.full_clean()
        signature.save()
        _record("checklist.sign", row, person, now, {"part": part, "checksum": checksum})
    return signature


def _record(action: str, row: Checklist, author: User, now: datetime, data: dict[str, object]) -> None:
    entry_append(
        author=author,
        action=action,
        subject=row,
        now=now,
        project_id=row.machine.project_id,
        data={"machine": row.machine_id, **data},
    )
