"""Overrides of tags: the plant's numbering knows more than ours."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import AppliedOverride
from specapp.rulebook.context import Assign, Context
from specapp.rulebook.overriding import applied, overriding_reason
from specapp.rulebook.registry import Phase, rule

Item = Assign | AppliedOverride


@rule(id="OVR-TAG-010", title="Tags by override", phase=Phase.TAGS, supersedes=("TAG-ISA-010",))
def tags(ctx: Context) -> Iterator[Item]:
    """The number on the drawing stands; two names for one instrument cost more than either."""
    for item in ctx.overrides_of("tag"):
        point = ctx.points.get(item.item)
        if point is None:
            continue
        reason = overriding_reason(ctx, item, point.tag)
        named = {train: f"{item.value}{train}" for train in point.tags}
        yield Assign((point,), {"tag": item.value, "tags": named}, reason)
        yield applied(item, point.tag, point.shaft)
