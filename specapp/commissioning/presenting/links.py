"""From an item of a checklist to what was measured there, and back: by subject, and by an instrument's tag.

A train's checklists and records carry the tags of that train, and belong to it alone.
"""

from specapp.bench.checklists import ChecklistItem
from specapp.bench.measuring.registry import KINDS
from specapp.commissioning.models import Checklist, Measurement
from specapp.commissioning.presenting import checklists, measurements
from specapp.commissioning.services.measurements import judgement_of


def records_of(row: Checklist, item: ChecklistItem) -> list[measurements.Line]:
    """Return the records that stand of what an item tests, by kind, the latest first; one query."""
    rows = Measurement.objects.filter(machine=row.machine_id, train=row.train, corrected_by=None)
    found = [each for each in rows if _belong(item, each)]
    order = list(KINDS)
    found.sort(key=lambda each: (each.item != item.subject, order.index(each.kind), -each.pk))
    return [measurements.Line(each, KINDS[each.kind].title, judgement_of(each), False) for each in found]


def items_of_record(row: Measurement) -> list[tuple[Checklist, list[checklists.Line]]]:
    """Return the last checklist of each stage with its items that test what was measured."""
    last: dict[str, Checklist] = {}
    for each in Checklist.objects.filter(machine=row.machine_id, train=row.train).order_by("pk"):
        last[each.stage] = each
    found = [
        (each, [line for line in checklists.lines_of(each) if _belong(line.item, row)])
        for each in last.values()
    ]
    return [(each, lines) for each, lines in found if lines]


def _belong(item: ChecklistItem, row: Measurement) -> bool:
    if item.subject == row.item:
        return True
    return len(item.tags) == 1 and item.tags[0] in row.tags.split(", ")
