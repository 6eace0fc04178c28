"""Checklists for tests that begin after they were made."""

from specapp.bench.measuring.registry import KINDS
from specapp.commissioning.models import Condition, Part, Stage
from specapp.commissioning.services.checklists import (
    checklist_checksum,
    checklist_make,
    entry_write,
    items_of,
    signature_give,
    standing_entries,
)
from specapp.commissioning.services.measurements import machine_subject, measurement_write
from specapp.projects.deciding.ground import machine_proposal
from tests.factories import NOW, PASSWORD


def made(machine, stage=Stage.SITE, revision=None, author=None):
    author = author or machine.created_by
    return checklist_make(machine=machine, stage=stage, revision=revision, author=author, now=NOW)


def written(row, item, **changed):
    """Write an entry that passes, but for what the test changes."""
    told = {
        "row": row,
        "item": item,
        "seen": standing_entries(row)[item.key].sequence if item.key in standing_entries(row) else 0,
        "result": "PASS",
        "as_found": passing_value(item),
        "as_left": None,
        "remark": "",
        "author": row.made_by,
        "now": NOW,
    }
    return entry_write(**{**told, **changed})


def passing_value(item):
    if item.entry != "number":
        return None
    return item.low if item.low is not None else item.high


def filled(row):
    for item in items_of(row):
        written(row, item)
    return row


def signed(row, person, part=Part.TESTED, **changed):
    checksum = checklist_checksum(row, list(row.entries.all()))
    told = {
        "row": row,
        "part": part,
        "checksum": checksum,
        "person": person,
        "password": PASSWORD,
        "now": NOW,
    }
    return signature_give(**{**told, **changed})


def measured(machine, kind="gap_voltage", data=None, key=None, **changed):
    """Write a record of the first item of a kind, a gap voltage in the middle unless the test says else."""
    what = KINDS[kind]
    subject = machine_subject(machine, what, key or what.keys(machine_proposal(machine))[0])
    told = {
        "condition": Condition.AS_FOUND,
        "measured_on": NOW.date(),
        "instrument": "",
        "remark": "",
        "corrects": None,
        "author": machine.created_by,
        "now": NOW,
    }
    return measurement_write(
        machine=machine, kind=what, subject=subject, data=data or {"gap_v": -10.0}, **{**told, **changed}
    )
