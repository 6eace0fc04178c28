"""What differs from the issue before, in the shape in which sheets and drawings mark it.

A mark stands for the revision it came with and is gone at the next issue, since every issue is compared
with the one it replaces.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from specapp.domain.proposal import Proposal
from specapp.drawings.train import BULL_GEAR, DRIVER, Train, train_of
from specapp.rulebook.comparison import Comparison, compare

TRAIN: Final = "train"
_CAUSES: Final = "causes"
_OF_POINTS: Final = ("points", "point_fields", "ranges", "transducers")


@dataclass(frozen=True, slots=True)
class Changes:
    """The items that differ, by subject of the comparison; ``label`` is the revision that changes them.

    ``marks`` holds (subject, item, field) of every difference, and (subject, item, "") of every item that
    has any.
    """

    label: str
    marks: frozenset[tuple[str, str, str]]

    def touch(self, subject: str, item: str, field: str = "") -> bool:
        """Tell whether an item differs in a subject, in one field of it where one is named."""
        return (subject, item, field) in self.marks

    def touch_point(self, key: str) -> bool:
        """Tell whether a point differs in what it is, apart from the setpoints of its group."""
        return any(self.touch(subject, key) for subject in _OF_POINTS)

    def items(self, *subjects: str) -> frozenset[str]:
        """Return the items that differ in any of the subjects."""
        return frozenset(item for subject, item, field in self.marks if not field and subject in subjects)


def changes_between(before: Proposal, after: Proposal, label: str) -> Changes:
    """Return what a revision changes against the one it replaces."""
    found = changes_of(compare(before, after), label)
    return Changes(label, found.marks | _drawn(train_of(before), train_of(after)))


def _drawn(before: Train, after: Train) -> frozenset[tuple[str, str, str]]:
    """Return the shafts that are drawn in another way: the comparison knows what is specified, not this."""
    names = {pinion.name for pinion in after.pinions if pinion != before.pinion(pinion.name)}
    if after.rotation != before.rotation:
        names.add(BULL_GEAR)
    if after.driver_kind != before.driver_kind:
        names.add(DRIVER)
    return frozenset((TRAIN, name, "") for name in names)


def changes_of(found: Comparison, label: str) -> Changes:
    """Return the differences of a comparison in the shape of marks."""
    marks = {
        (subject, change.item, field)
        for subject in found.__struct_fields__
        if subject != _CAUSES
        for change in getattr(found, subject)
        for field in (change.field, "")
    }
    return Changes(label, frozenset(marks))
