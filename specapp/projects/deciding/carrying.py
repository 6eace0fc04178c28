"""What people decided about a pinion follows it when pinions are moved, renamed or taken out on the page."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace as replace_ground
from datetime import datetime
from typing import Any

from msgspec.structs import replace

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain import overrides as domain
from specapp.domain.override_carrying import carry_overrides
from specapp.projects.models import Machine, Override, SetpointValue
from specapp.projects.worked import Ground
from specapp.rulebook.fact_names import pinion_names

Names = Sequence[str | None]
Decision = Override | SetpointValue
_KEY_ONLY = domain.Override("", "tag", "", "", "", "")


def pinion_orders(
    before: Mapping[str, Any], after: Mapping[str, Any], pinions_were: Sequence[int | None]
) -> tuple[Names, Names]:
    """Return the names of the same pinions before and after, place by place.

    `pinions_were` holds, for each pinion of `after`, its place in `before`; None for a new one. Where a
    name stands twice nothing can be said: such a description is refused when it is read.
    """
    old, new = pinion_names(before), pinion_names(after)
    if len(set(new)) != len(new):
        return (), ()
    was = [place if place is not None and place < len(old) else None for place in pinions_were]
    gone = [place for place in range(len(old)) if place not in was]
    return (
        [*(None if place is None else old[place] for place in was), *(old[place] for place in gone)],
        [*new[: len(was)], *(None for _ in gone)],
    )


def carried_ground(ground: Ground, orders: tuple[Names, Names]) -> Ground:
    """Return a ground whose overrides have followed their pinions."""
    if not _moved(orders):
        return ground
    return replace_ground(ground, overrides=carry_overrides(ground.overrides, *orders))


def decisions_carry(*, machine: Machine, orders: tuple[Names, Names], author: User, now: datetime) -> None:
    """Let stored overrides and setpoint values follow their pinions, inside the caller's transaction."""
    if not _moved(orders):
        return
    overrides = _renamed(machine.overrides.filter(undone_at=None), orders)
    values = _renamed(machine.setpoint_values.filter(withdrawn_at=None), orders)
    for rows in (overrides, values):
        _store(rows)
    moved = [[row.item, key] for row, key in (*overrides, *values)]
    if moved:
        entry_append(
            author=author,
            action="decisions.carry",
            subject=machine,
            now=now,
            project_id=machine.project_id,
            data={"from_to": moved},
        )


def _moved(orders: tuple[Names, Names]) -> bool:
    return list(orders[0]) != list(orders[1])


def _renamed(rows: Iterable[Decision], orders: tuple[Names, Names]) -> list[tuple[Decision, str]]:
    found = []
    for row in rows:
        (carried,) = carry_overrides([replace(_KEY_ONLY, item=row.item)], *orders)
        if carried.item != row.item:
            found.append((row, carried.item))
    return found


def _store(rows: Sequence[tuple[Decision, str]]) -> None:
    """Write new keys in two steps, since two that change places would meet half-way."""
    for row, _ in rows:
        type(row).objects.filter(pk=row.pk).update(item=f"moving {row.pk}")
    for row, key in rows:
        type(row).objects.filter(pk=row.pk).update(item=key)
