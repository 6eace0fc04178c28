"""What every override leaves behind: a reason in the trace and a line in the proposal."""

from __future__ import annotations

import re
from typing import Any

from specapp.domain.overrides import Override
from specapp.domain.proposal import AppliedOverride, Setpoint
from specapp.rulebook.context import Context, Shaft

_PLACE = re.compile(r"pinions\[(\d+)\]")
# What the reason of a setpoint set by hand records of the rule's own.
RULE_GOVERNED_BY = "the rule is governed by"
RULE_UNROUNDED = "the rule gives before rounding"
# Two values of a rule or a speed that differ by less are the same one written twice.
SAME = 1e-9


def overriding_reason(
    ctx: Context, item: Override, rule_value: Any, unit: str = "", replaced: Setpoint | None = None
) -> int:
    """Record that an override was read, with the rule's own value beside it; return the trace index.

    `unit` is that of the values of the rule, empty for what has none; `replaced` the setpoint of the rule
    where the override is of its value, so that it can still be worked out.
    """
    why = ctx.why()
    why.fact(override_read(item.item, item.field), item.value)
    why.fact("the rule gives", rule_value)
    if replaced is not None:
        why.fact(RULE_GOVERNED_BY, replaced.governed_by)
        why.fact(RULE_UNROUNDED, replaced.unrounded)
    # A point is struck or added: those two say everything without a value.
    done = item.field if item.value is True else f"{item.field} set to {_told(item.value, unit)}"
    return why.say(f"{item.item}: {done} by {item.author}, {item.at[:10]}: {item.reason}")


def override_read(item: str, field: str) -> str:
    """Return the name under which the reason of an override records what was read."""
    return f"override {item} {field}"


def applied(item: Override, rule_value: Any, shaft: Shaft, unit: str = "") -> AppliedOverride:
    """Return how an override stands: in force, or to be confirmed again because its ground has moved.

    `shaft` is the one its item belongs to, `unit` that of the values of the rule, empty for what has none.
    """
    notes, speed_rpm = _moved_notes(item, shaft), shaft.speed_rpm
    if item.rule_value is not None and not _same(item.rule_value, rule_value):
        notes.append(f"the rule gave {_told(item.rule_value, unit)}, now {_told(rule_value, unit)}")
    if item.speed_rpm is not None and not _same(item.speed_rpm, speed_rpm):
        notes.append(f"the shaft turned at {item.speed_rpm:.6g} r/min, now {speed_rpm or 0:.6g}")
    return AppliedOverride(
        item.item,
        item.field,
        item.value,
        rule_value,
        item.reason,
        item.author,
        item.at,
        "confirm again" if notes else "in force",
        "; ".join(notes),
    )


def _moved_notes(item: Override, shaft: Shaft) -> list[str]:
    """Return where an override was written and where it stands, if its pinion was moved or renamed since."""
    notes = []
    if item.moved_from and item.moved_from != item.item:
        notes.append(f"it was written for {item.moved_from}, now it stands on {item.item}")
    place = _PLACE.fullmatch(shaft.path)
    if item.moved_from_place is not None and place is not None:
        now = int(place[1]) + 1
        if now != item.moved_from_place:
            notes.append(f"its pinion stood in place {item.moved_from_place}, now in place {now}")
    return notes


def _told(value: Any, unit: str) -> str:
    if value is None:
        return "nothing"
    text = f"{value:.6g}" if isinstance(value, int | float) else str(value).replace("_", " ")
    return f"{text} {unit}".rstrip()


def _same(was: Any, now: Any) -> bool:
    if isinstance(was, int | float) and isinstance(now, int | float):
        return abs(was - now) <= SAME * max(1.0, abs(was))
    return bool(was == now)
