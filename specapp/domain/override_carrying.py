"""Overrides carried by intent: who moves or renames a pinion means the pinion, not its number."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from msgspec.structs import replace

from specapp.domain.overrides import Override
from specapp.domain.proposal import Record

# A key names its pinion at its start (P1/...), and its bearing by the pinion's name and a side (P1-2).
_PART = re.compile(r"^(?P<name>.+?)(?P<side>-[12])?$")


class PinionOrders(Record, frozen=True):
    """The same pinions before and after a change of the description.

    Place i of each is one pinion: named ``was[i]`` and ``now[i]``, None where it was not or is no longer
    there; ``places[i]`` is its place among the earlier pinions. The later pinions come first, in their order.
    """

    was: tuple[str | None, ...] = ()
    now: tuple[str | None, ...] = ()
    places: tuple[int | None, ...] = ()

    @property
    def moved(self) -> Mapping[str, tuple[int, int]]:
        """Return the pinions that stand in another order or go by another name: from and to which place.

        They go by their earlier names. One that only moves up because another was taken out, and keeps its
        name, is not among them.
        """
        stayed = [
            (place, number)
            for number, (place, name) in enumerate(zip(self.places, self.now, strict=True))
            if place is not None and name is not None
        ]
        in_order = sorted(stayed)
        return {
            str(self.was[number]): (place, number)
            for (place, number), as_before in zip(stayed, in_order, strict=True)
            if place != as_before[0] or self.was[number] != self.now[number]
        }

    @property
    def is_unmoved(self) -> bool:
        """Tell whether no decision about a pinion has to follow it."""
        return self.was == self.now and not self.moved


def follow_pinions(overrides: Iterable[Override], orders: PinionOrders) -> tuple[Override, ...]:
    """Return overrides on their pinions, each telling where it was written while it stands elsewhere.

    Whoever puts a pinion back to the place and name an override was written for has it stand as written,
    as with a rule's value or a speed that comes back: nothing is left that differs from what was decided.
    """
    before = tuple(overrides)
    carried = carry_overrides(before, orders.was, orders.now)
    moved = orders.moved
    return tuple(
        _moved(was, now, moved.get(was.item.partition("/")[0]))
        for was, now in zip(before, carried, strict=True)
    )


def _moved(was: Override, now: Override, places: tuple[int, int] | None) -> Override:
    if places is None:
        return now
    written = (was.moved_from or was.item, was.moved_from_place or places[0] + 1)
    if written == (now.item, places[1] + 1):
        return replace(now, moved_from="", moved_from_place=None)
    return replace(now, moved_from=written[0], moved_from_place=written[1])


def carry_overrides(
    overrides: Sequence[Override], old_order: Sequence[str | None], new_order: Sequence[str | None]
) -> tuple[Override, ...]:
    """Return overrides whose keys follow their pinions into a new order or under new names.

    Parameters
    ----------
    overrides
        As they stand; those of the bull gear and the driver are left as they are.
    old_order, new_order
        Names of the same pinions, one place for each pinion: place i of both is the same pinion, named
        `old_order[i]` before and `new_order[i]` now. None in `new_order`: the pinion was taken out; its
        overrides keep their keys and the proposal lists them as gone, never dropped silently. None in
        `old_order`: the pinion is new and no override can be about it.

    Raises
    ------
    ValueError
        If the two are not of one length, or a name stands for two pinions on one side.

    Notes
    -----
    What an override remembers (the rule's value, the shaft's speed) is carried along unchanged: the
    pinion is the same, so both still hold, and where they do not the proposal asks to confirm it again.
    An override of a pinion taken out whose name another pinion now takes would be read as that one's: it
    gets a key that no item has (``P1 (taken out)/...``), so that it is listed as gone.
    """
    if len(old_order) != len(new_order):
        raise ValueError("old and new order must name the same pinions, place by place")
    for order in (old_order, new_order):
        named = [name for name in order if name is not None]
        if len(set(named)) != len(named):
            raise ValueError("a name stands for two pinions")
    taken = {name for name in new_order if name is not None}
    names: dict[str, str | None] = {}
    for old, new in zip(old_order, new_order, strict=True):
        if old is not None and new is not None:
            names[old] = new
        elif old is not None and old in taken:
            names[old] = None
    return tuple(replace(item, item=_renamed(item.item, names)) for item in overrides)


def _renamed(key: str, names: Mapping[str, str | None]) -> str:
    """Return a key with its pinion's name exchanged wherever it stands; every part at once, not in turn."""
    shaft, *rest = key.split("/")
    if shaft not in names:
        return key
    new = names[shaft]
    if new is None:
        return "/".join([f"{shaft} (taken out)", *rest])
    return "/".join([new, *(_part(part, shaft, new) for part in rest)])


def _part(part: str, old: str, new: str) -> str:
    found = _PART.match(part)
    if found is not None and found["name"] == old and found["side"]:
        return f"{new}{found['side']}"
    return part
