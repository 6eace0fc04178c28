"""Packing of channels into monitor modules so that one circuit fault stays within what it may affect."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final, NamedTuple

from specapp.domain.proposal import Record

_KEPT: Final = 256  # packings kept from one proposal to the next


class Signal(NamedTuple):
    """A point that needs a channel: its key, or its number among those to be packed, and its casing."""

    point: str | int
    casing: str


class GroupShape(NamedTuple):
    """A voting group as packing sees it: casing, number of signals, whether each needs its own module."""

    casing: str
    size: int
    apart: bool


class FilledModule(Record, frozen=True):
    """A packed module: kind, free channels, and of each channel its fault group and the signal, if any.

    Signals are numbered in the order of the groups that were packed.
    """

    kind: str
    free: int
    channels: tuple[tuple[int, int | None], ...]


@dataclass(slots=True)
class Module:
    """A module while it is filled.

    ``groups`` are the signals in each of its fault groups, ``taken`` how many of each casing they
    are, ``free`` how many channels of the whole module are left.
    """

    kind: str
    group_channels: tuple[int, ...]
    groups: list[list[Signal]] = field(default_factory=list)
    taken: list[dict[str, int]] = field(default_factory=list)
    free: int = 0

    def __post_init__(self) -> None:
        self.groups = [[] for _ in self.group_channels]
        self.taken = [{} for _ in self.group_channels]
        self.free = sum(self.group_channels)

    def put(self, index: int, signals: list[Signal]) -> None:
        """Put signals into one fault group."""
        self.groups[index].extend(signals)
        self.free -= len(signals)
        taken = self.taken[index]
        for signal in signals:
            taken[signal.casing] = taken.get(signal.casing, 0) + 1


@dataclass(frozen=True, slots=True)
class Packing:
    """How modules of one kind are filled.

    ``group_channels`` are the channels of each fault group of a module; ``fault_limit`` how many
    channels of one casing one circuit fault may take; where ``independent`` is False a fault is
    taken to take the whole module. ``modules_a_rack`` bounds what must sit in one rack together.
    """

    kind: str
    group_channels: tuple[int, ...]
    fault_limit: int
    independent: bool
    modules_a_rack: int

    def new_module(self) -> Module:
        """Return an empty module of the kind."""
        return Module(self.kind, self.group_channels)

    def room(self, module: Module, casing: str, index: int) -> int:
        """Return how many more channels of one casing a fault group of a module can take."""
        free = self.group_channels[index] - len(module.groups[index])
        if free == 0:
            return 0
        if self.independent:
            taken = module.taken[index].get(casing, 0)
        else:
            taken = sum(counts.get(casing, 0) for counts in module.taken)
        return max(0, min(free, self.fault_limit - taken))

    def group_with_room(self, module: Module, casing: str, size: int) -> int | None:
        """Return the first fault group of a module that can take `size` more channels of one casing."""
        for index, signals in enumerate(module.groups):
            if self.group_channels[index] - len(signals) >= size <= self.room(module, casing, index):
                return index
        return None

    def most_room(self, module: Module, casing: str) -> int:
        """Return how many more channels of one casing a module can take."""
        rooms = [self.room(module, casing, index) for index in range(len(module.groups))]
        return sum(rooms) if self.independent else max(rooms)

    def usable_spares(self, modules: Sequence[Module]) -> int:
        """Return the free channels that the casing with the most channels could still use."""
        casings: dict[str, int] = {}
        for module in modules:
            for taken in module.taken:
                for casing, count in taken.items():
                    casings[casing] = casings.get(casing, 0) + count
        if not casings:
            return 0
        casing = max(casings, key=casings.__getitem__)
        return sum([self.most_room(module, casing) for module in modules if module.free])


@lru_cache(maxsize=_KEPT)
def packed(packing: Packing, shapes: tuple[GroupShape, ...], spares: int) -> tuple[FilledModule, ...]:
    """Return the modules that hold voting groups of these shapes and so many usable spare channels.

    Kept from one proposal to the next: most changes of a description leave the shapes as they are.
    """
    modules: list[Module] = []
    number = 0
    for shape in shapes:
        signals = [Signal(number + place, shape.casing) for place in range(shape.size)]
        number += shape.size
        if shape.apart:
            pack_apart(packing, modules, signals)
        else:
            pack_together(packing, modules, signals)
    while packing.usable_spares(modules) < spares:
        modules.append(packing.new_module())
    return tuple(map(_filled, modules))


def _filled(module: Module) -> FilledModule:
    channels: list[tuple[int, int | None]] = []
    for number, (size, signals) in enumerate(zip(module.group_channels, module.groups, strict=True), start=1):
        channels += [(number, int(signal.point)) for signal in signals]
        channels += [(number, None)] * (size - len(signals))
    return FilledModule(module.kind, module.free, tuple(channels))


def pack_together(packing: Packing, modules: list[Module], signals: list[Signal], start: int = 0) -> None:
    """Place signals of one voting group into one fault group, or as few as hold them.

    `modules` grows at its end where nothing has room; search begins at module `start`.
    """
    size = len(signals)
    casing = signals[0].casing
    for module in modules[start:]:
        if module.free < size:
            continue
        index = packing.group_with_room(module, casing, size)
        if index is not None:
            module.put(index, signals)
            return
    module = packing.new_module()
    index = packing.group_with_room(module, casing, size)
    if index is None:
        _pack_one_by_one(packing, modules, signals)
        return
    module.put(index, signals)
    modules.append(module)


def _pack_one_by_one(packing: Packing, modules: list[Module], signals: list[Signal]) -> None:
    """Place the members of a group larger than what one fault may take, in one rack where one has room."""
    a_rack = packing.modules_a_rack
    casing = signals[0].casing
    for first in range(0, len(modules) + a_rack + 1, a_rack):
        opened = modules[first : first + a_rack]
        unopened = [packing.new_module()] * (a_rack - len(opened))
        if sum(packing.most_room(module, casing) for module in (*opened, *unopened)) >= len(signals):
            while len(modules) < first:
                modules.append(packing.new_module())
            break
    else:
        first = len(modules)
    for signal in signals:
        pack_together(packing, modules, [signal], first)


def pack_apart(packing: Packing, modules: list[Module], signals: list[Signal]) -> None:
    """Place each signal of one group on a module of its own, all of them in one rack."""
    new = packing.new_module()
    for home in range(len(modules) + packing.modules_a_rack):
        rack = home // packing.modules_a_rack
        end = (rack + 1) * packing.modules_a_rack
        places: list[tuple[int, int]] = []
        for number in range(home, end):
            if len(places) == len(signals):
                break
            module = modules[number] if number < len(modules) else new
            if module.free == 0:
                continue
            casing = signals[len(places)].casing
            free = [i for i in range(len(module.groups)) if packing.room(module, casing, i)]
            if free:
                places.append((number, free[0]))
        if len(places) == len(signals):
            for signal, (number, index) in zip(signals, places, strict=True):
                while len(modules) <= number:
                    modules.append(packing.new_module())
                modules[number].put(index, [signal])
            return
    # More signals than a rack has modules: being on different modules comes first.
    for signal in signals:
        pack_together(packing, modules, [signal], len(modules))
