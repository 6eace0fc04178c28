"""Two states held against the comments: changed without a comment, commented without a change."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import msgspec

from specapp.domain.overrides import GROUP_FIELDS
from specapp.domain.proposal import Proposal
from specapp.review.models import Comment
from specapp.rulebook.comparison import Change, Comparison

# What a field of a comment can be found in, where the subject does not say it by the name of its own field.
_SUBJECT_OF_FIELD: Mapping[str, str] = {"tip": "transducers", "struck": "points", "added": "points"}
_VOTES = ("voting", "delay")
# What people decided is shown among the causes; the values that follow from it are what is compared.
_CAUSES = ("overrides", "causes")


@dataclass(frozen=True, slots=True)
class HeldAgainst:
    """What changed without a comment, and the comments on items that did not change."""

    uncommented: Comparison
    unchanged: tuple[Comment, ...]
    without_item: tuple[Comment, ...]

    @property
    def count(self) -> int:
        return len(self.uncommented.changes)


def held_against(
    found: Comparison, before: Proposal, after: Proposal, comments: Iterable[Comment]
) -> HeldAgainst:
    """Hold the differences of two proposals against comments.

    A difference counts as commented where a comment belongs to its item, to the voting group of its item or
    to a point of that group, and names no field or this one; or where an override behind it is on an item
    and field that a comment names. Editorial weight, state and reply make no difference here.
    """
    groups = {point.key: point.voting_group for each in (before, after) for point in each.points}
    members: dict[str, set[str]] = {}
    for point, group in groups.items():
        members.setdefault(group, set()).add(point)
    told = [comment for comment in comments if comment.item]
    by_item: dict[str, list[Comment]] = {}
    for comment in told:
        by_item.setdefault(comment.item, []).append(comment)
    answered: set[int] = set()
    left: dict[str, tuple[Change, ...]] = {}
    for subject in found.__struct_fields__:
        if subject in _CAUSES:
            left[subject] = ()
            continue
        kept = []
        for change in getattr(found, subject):
            on_it = [
                comment
                for key in _keys(subject, change, groups, members)
                for comment in by_item.get(key, ())
                if _names(comment, subject, change)
            ]
            on_it += [
                comment
                for cause in change.why
                if cause.kind == "override"
                for comment in by_item.get(cause.key.rpartition(" ")[0], ())
                if comment.field == cause.key.rpartition(" ")[2]
            ]
            answered.update(comment.pk for comment in on_it)
            if not on_it:
                kept.append(change)
        left[subject] = tuple(kept)
    return HeldAgainst(
        uncommented=msgspec.structs.replace(found, **left),
        unchanged=tuple(comment for comment in told if comment.pk not in answered),
        without_item=tuple(comment for comment in comments if not comment.item),
    )


def _keys(
    subject: str, change: Change, groups: Mapping[str, str], members: Mapping[str, set[str]]
) -> set[str]:
    """Return the keys under which a comment can belong to a difference."""
    item = change.item
    if subject == "setpoints":
        return {item, *members.get(item, ())}
    if subject == "checks":
        return {f"check/{change.field}/{item}"}
    if subject == "bill":
        # The row's key is the item, and who supplies it after a space.
        return {f"bill/{item}", f"bill/{item.rpartition(' ')[0]}"}
    if subject == "architecture":
        return {f"rack/{item}"}
    prefix = {"open_points": "open/", "assumptions": "assumption/"}.get(subject)
    if prefix is not None:
        return {f"{prefix}{item}"[:200]}
    return {item, groups[item]} if item in groups else {item}


def _names(comment: Comment, subject: str, change: Change) -> bool:
    """Tell whether a comment names no field, or the one that differs."""
    field = comment.field
    if not field:
        return True
    if field in GROUP_FIELDS:
        return subject == "setpoints" and (
            change.field == field or (field in _VOTES and _differs(change, field))
        )
    return subject == _SUBJECT_OF_FIELD.get(field, "point_fields") and (
        field in _SUBJECT_OF_FIELD or change.field == field
    )


def _differs(change: Change, field: str) -> bool:
    name = {"delay": "delay_s"}.get(field, field)
    was, now = (_part(state, name) for state in (change.was, change.now))
    return was != now


def _part(state: Any, name: str) -> Any:
    return None if state is None else getattr(state, name)
