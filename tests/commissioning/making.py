"""Checklists for tests that begin after they were made."""

from specapp.commissioning.models import Part, Stage
from specapp.commissioning.services.checklists import (
    checklist_checksum,
    checklist_make,
    entry_write,
    items_of,
    signature_give,
    standing_entries,
)
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
