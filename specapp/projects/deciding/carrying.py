"""What people decided about a pinion follows it when pinions are moved, renamed or taken out on the page."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace as replace_ground
from datetime import datetime
from typing import Any

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain import overrides as domain
from specapp.domain.override_carrying import PinionOrders, carry_overrides, follow_pinions
from specapp.projects.deciding.ground import override_as_domain, overrides_in_force
from specapp.projects.models import Machine, Override, SetpointValue
from specapp.projects.worked import Ground
from specapp.rulebook.fact_names import pinion_names

UNMOVED = PinionOrders()


def pinion_orders(
    before: Mapping[str, Any], after: Mapping[str, Any], pinions_were: Sequence[int | None]
) -> PinionOrders:
    """Return which pinion of two descriptions is which.

    `pinions_were` holds, for each pinion of `after`, its place in `before`; None for a new one. Where a
    name stands twice nothing can be said: such a description is refused when it is read.
    """
    old, new = pinion_names(before), pinion_names(after)
    if len(set(new)) != len(new):
        return UNMOVED
    was = [place if place is not None and place < len(old) else None for place in pinions_were]
    gone = [place for place in range(len(old)) if place not in was]
    return PinionOrders(
        (*(None if place is None else old[place] for place in was), *(old[place] for place in gone)),
        (*new[: len(was)], *(None for _ in gone)),
        (*was, *gone),
    )


def named_orders(before: Mapping[str, Any], after: Mapping[str, Any]) -> PinionOrders:
    """Return which pinion is which by their names alone, as where a whole description is sent."""
    old = pinion_names(before)
    places = [old.index(name) if name in old else None for name in pinion_names(after)]
    return pinion_orders(before, after, places)


def carried_ground(ground: Ground, orders: PinionOrders) -> Ground:
    """Return a ground whose overrides have followed their pinions."""
    if orders.is_unmoved:
        return ground
    return replace_ground(ground, overrides=follow_pinions(ground.overrides, orders))


def decisions_carry(*, machine: Machine, orders: PinionOrders, author: User, now: datetime) -> None:
    """Let stored overrides and setpoint values follow their pinions, inside the caller's transaction.

    An override that stands elsewhere than it was written for is to be confirmed again.
    """
    if orders.is_unmoved:
        return
    overrides = _followed(overrides_in_force(machine), orders)
    values = _renamed(machine.setpoint_values.filter(withdrawn_at=None), orders)
    from_to = [[row.item, is_now.item] for row, is_now in overrides if row.item != is_now.item]
    from_to += [[row.item, key] for row, key in values]
    again = [[is_now.item, is_now.field, is_now.moved_from] for _, is_now in overrides if is_now.moved_from]
    _store(Override, [(row.pk, _places(is_now)) for row, is_now in overrides])
    _store(SetpointValue, [(row.pk, {"item": key}) for row, key in values])
    if overrides or values:
        entry_append(
            author=author,
            action="decisions.carry",
            subject=machine,
            now=now,
            project_id=machine.project_id,
            data={"from_to": from_to, "confirm_again": again},
        )


def _followed(rows: Iterable[Override], orders: PinionOrders) -> list[tuple[Override, domain.Override]]:
    """Return the overrides that change, each with what it is now."""
    pairs = [(row, override_as_domain(row)) for row in rows]
    followed = follow_pinions([was for _, was in pairs], orders)
    return [(row, is_now) for (row, was), is_now in zip(pairs, followed, strict=True) if was != is_now]


def _renamed(rows: Iterable[SetpointValue], orders: PinionOrders) -> list[tuple[SetpointValue, str]]:
    found = []
    for row in rows:
        key_only = domain.Override(row.item, "tag", "", "", "", "")
        (carried,) = carry_overrides([key_only], orders.was, orders.now)
        if carried.item != row.item:
            found.append((row, carried.item))
    return found


def _places(override: domain.Override) -> dict[str, Any]:
    names = ("item", "moved_from", "moved_from_place")
    return {name: getattr(override, name) for name in names}


def _store(
    model: type[Override] | type[SetpointValue], changes: Sequence[tuple[int, dict[str, Any]]]
) -> None:
    """Write new keys in two steps, since two that change places would meet half-way."""
    for pk, _ in changes:
        model.objects.filter(pk=pk).update(item=f"moving {pk}")
    for pk, values in changes:
        model.objects.filter(pk=pk).update(**values)
