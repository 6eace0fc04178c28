"""Racks as schedules of their channels; there is no picture of a rack."""

from __future__ import annotations

from specapp.domain.proposal import Proposal
from specapp.drawings.scene import SceneTable


def rack_schedule(proposal: Proposal) -> SceneTable:
    """Return one row a channel, spare channels included, each naming the point it carries."""
    tags = {point.key: point.tag for point in proposal.points}
    rows = []
    for rack in proposal.architecture.racks:
        for module in rack.modules:
            for channel in module.channels:
                point = channel.point
                cells = (
                    rack.key,
                    str(module.slot),
                    module.kind.replace("_", " "),
                    str(channel.channel),
                    str(channel.fault_group),
                    tags.get(point, point) if point else "spare",
                    point or "",
                )
                rows.append((point or rack.key, cells))
    columns = ("Rack", "Place", "Module", "Channel", "Fault group", "Tag", "Point")
    return SceneTable(columns, tuple(rows))
