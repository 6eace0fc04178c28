"""Racks as schedules of their channels; there is no picture of a rack."""

from __future__ import annotations

from dataclasses import dataclass

from specapp.domain.proposal import Proposal, Rack
from specapp.drawings.scene import SceneTable

COLUMNS = ("Tag", "Channel", "Fault group", "Point")


@dataclass(frozen=True, slots=True)
class ModuleSchedule:
    """The channels of one module; `title` tells its place and kind."""

    title: str
    table: SceneTable


@dataclass(frozen=True, slots=True)
class RackSchedule:
    """One rack: its key, what it has besides channels in use, its modules by place."""

    key: str
    note: str
    modules: tuple[ModuleSchedule, ...]


def rack_schedules(proposal: Proposal) -> tuple[RackSchedule, ...]:
    """Return one row a channel, spare channels included, each naming the point it carries."""
    tags = {point.key: point.tag for point in proposal.points}
    return tuple(_rack(rack, tags) for rack in proposal.architecture.racks)


def _rack(rack: Rack, tags: dict[str, str]) -> RackSchedule:
    modules = []
    for module in rack.modules:
        rows = []
        for channel in module.channels:
            point = channel.point
            tag = tags.get(point, point) if point else "spare"
            cells = (tag, str(channel.channel), str(channel.fault_group), point or "")
            rows.append((point or rack.key, cells))
        title = f"Place {module.slot}, {module.kind.replace('_', ' ')} module"
        modules.append(ModuleSchedule(title, SceneTable(COLUMNS, tuple(rows))))
    counts = (
        (len(rack.modules), "module"),
        (rack.free_slots, "free place"),
        (rack.spare_channels, "spare channel"),
    )
    note = ", ".join(f"{count} {word if count == 1 else word + 's'}" for count, word in counts)
    supplies = f"{rack.power_supplies} power suppl{'y' if rack.power_supplies == 1 else 'ies'}"
    note = f"{note}, {supplies}"
    return RackSchedule(rack.key, note, tuple(modules))
