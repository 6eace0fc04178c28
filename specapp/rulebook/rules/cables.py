"""Field cables: from each box position to the rack, control system, motor relay or overspeed system."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import OpenPoint
from specapp.rulebook.context import Cable, Context
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.wiring import acts_in, cable_kind, rack_of_points


@rule(id="ARC-CAB-010", title="Field cables", phase=Phase.ARCHITECTURE)
def field_cables(ctx: Context) -> Iterator[Cable | OpenPoint | str]:
    """A shielded triad or pair a signal keeps one channel's fault from reaching its neighbour."""
    why = ctx.why()
    run_m = why.fact("installation.cable_run", ctx.machine.installation.cable_run)
    racks = ctx.once(rack_of_points)
    length = "length not told" if run_m is None else f"{run_m:g} m each"
    reason = why.say(
        "One shielded triad an oscillator-demodulator, accelerometer, speed sensor or resistance element, "
        f"one shielded pair a transmitter; {length}."
    )
    for point in ctx.points.values():
        start = point.junction_box or point.key
        yield Cable(start, acts_in(point, racks), cable_kind(point), run_m, (point.key,))
    yield "Shields are earthed once, at the rack or control system, and insulated in the field."
    if run_m is None:
        text = "Run from the boxes to the rack or control system not told: cables are counted, not measured."
        yield OpenPoint("cable_run", "installation.cable_run", text, "owner", (reason,))
