"""What became of a comment: what stood at its item then, what stands there now."""

from dataclasses import dataclass
from datetime import datetime
from enum import Enum

from specapp.domain.proposal import Proposal
from specapp.review.models import Comment
from specapp.review.places import Places, item_digest, value_text


class Fate(Enum):
    """What became of what a comment is about; the value is how it is said to every reader of the comment."""

    BUILT_IN = "its value is adopted"
    LATER = "its value was adopted after this was frozen"
    LOST = "its value was adopted and is no longer set"
    CHANGED = "what it is about has changed"
    SAME = "what it is about says the same"
    GONE = "what it is about is no longer there"
    OPEN_ENDED = "not about one item"
    NOT_KNOWN = "what stood there then was not kept"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a comment; `was` and `now` are values of its field, empty where it names none."""

    fate: Fate
    was: str = ""
    now: str = ""

    @property
    def needs_you(self) -> bool:
        return self.fate in (Fate.LOST, Fate.GONE)


def outcome_of(
    comment: Comment, proposal: Proposal, places: Places, frozen_at: datetime | None = None
) -> Outcome:
    """Return what became of a comment in a later content, frozen then or the working draft."""
    if not comment.item:
        return Outcome(Fate.OPEN_ENDED)
    gone = comment.item not in places.records
    now = value_text(proposal, comment.item, comment.field) if comment.field and not gone else ""
    was = comment.value_then
    if comment.adopted is not None:
        in_force = any(
            (each.item, each.field, each.value) == (comment.item, comment.field, comment.proposed)
            for each in proposal.overrides
        )
        is_later = frozen_at is not None and comment.adopted.written_at > frozen_at
        fate = Fate.BUILT_IN if in_force else Fate.LATER if is_later else Fate.LOST
        return Outcome(fate, was, now)
    if gone:
        return Outcome(Fate.GONE, was)
    if comment.field:
        known = bool(was or comment.item_digest)
        return Outcome(_moved(was == now) if known else Fate.NOT_KNOWN, was, now)
    if not comment.item_digest:
        return Outcome(Fate.NOT_KNOWN)
    return Outcome(_moved(comment.item_digest == item_digest(places, comment.item)))


def _moved(is_same: bool) -> Fate:
    return Fate.SAME if is_same else Fate.CHANGED
