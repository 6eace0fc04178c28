"""Items to be looked at, each with what it says, who has looked at it and the comments on it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from specapp.core.models import User
from specapp.domain.proposal import Point, Proposal
from specapp.projects.deciding.items import item_of
from specapp.projects.presenting.decisions import set_text
from specapp.review.models import Look
from specapp.review.places import Choices
from specapp.review.presenting.rows import day


@dataclass(frozen=True, slots=True)
class LookLine:
    """One item: `by` are those whose tick still stands, `before` those who looked before it changed."""

    key: str
    digest: str
    name: str
    note: str
    point: str
    is_seen: bool
    has_changed: bool
    by: Sequence[str]
    before: Sequence[str]
    comments: Sequence[int]


def look_lines(
    desk: Any,
    choices: Choices,
    digests: Mapping[str, str],
    looks: Mapping[str, Sequence[Look]],
    comments: Mapping[str, Sequence[int]],
    person: User,
) -> list[LookLine]:
    lines = []
    for key, name in choices.items:
        held = looks.get(key, ())
        standing = [look for look in held if look.digest == digests[key]]
        fallen = [look for look in held if look.digest != digests[key]]
        group = desk.places.groups.get(key)
        first, _, rest = name.partition(", ")
        lines.append(
            LookLine(
                key=key,
                digest=digests[key],
                name=first,
                note=f"{rest}{_setpoints(desk.proposal, desk.places.records[key][0])}",
                point=desk.places.points.get(key, ""),
                is_seen=any(look.person_id == person.pk for look in standing),
                has_changed=any(look.person_id == person.pk for look in fallen),
                by=[f"{look.person}, {day(look.looked_at)}" for look in standing],
                before=[f"{look.person}, {day(look.looked_at)}" for look in fallen],
                comments=sorted({*comments.get(key, ()), *(comments.get(group, ()) if group else ())}),
            )
        )
    return lines


def _setpoints(proposal: Proposal, record: object) -> str:
    """Return what a point is set to, in words."""
    if not isinstance(record, Point):
        return ""
    told = [
        f"{level} {set_text(found, found.value)}"
        for level in ("alarm", "trip")
        for found in (_level(proposal, record, level),)
        if found is not None
    ]
    return f": {', '.join(told)}" if told else ""


def _level(proposal: Proposal, point: Point, level: str):
    if getattr(point.setpoints, level) is None:
        return None
    found = item_of(proposal, point.key, level)
    return found if found.value is not None else None
