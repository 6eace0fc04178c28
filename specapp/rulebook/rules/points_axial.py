"""Axial position points: where thrust is carried, and what a thrust collar hands on."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import OpenPoint
from specapp.rulebook.context import Context, PointDraft, Shaft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.points_radial import machine_chain


def axial_points(ctx: Context, shaft: Shaft, suffixes: tuple[str, ...], reason: int) -> Iterator[PointDraft]:
    """Return the axial points of one shaft; two form a voting group, one stands alone."""
    group = f"{shaft.key}/axial"
    where = {"bull_gear": "bull gear thrust bearing", "driver": "driver thrust bearing"}.get(
        shaft.kind, f"pinion {shaft.key}"
    )
    for suffix in suffixes:
        key = f"{group}/{suffix}"
        yield PointDraft(
            key=key,
            title=f"Axial position, {where}, {suffix}",
            quantity="axial_position",
            shaft=shaft,
            group=group if len(suffixes) > 1 else key,
            chain=machine_chain(ctx),
            reasons=[reason],
            suffix=suffix,
        )


@rule(id="PTS-AXI-010", title="Axial probes at each thrust bearing", phase=Phase.POINTS)
def thrust_bearing_probes(ctx: Context) -> Iterator[PointDraft]:
    """A wiped thrust bearing costs the impellers within seconds; two probes let one fail without a trip."""
    two = ctx.process or ctx.criticality == "critical"
    for shaft in ctx.shafts.values():
        if shaft.kind == "driver" or not shaft.thrust_bearing:
            continue
        why = ctx.why()
        why.fact("service_class", ctx.machine.service_class)
        why.fact("criticality", ctx.criticality)
        name = "thrust_bearing" if shaft.kind == "bull_gear" else "axial_location"
        why.fact(shaft.fact_path(name), True if shaft.kind == "bull_gear" else shaft.axial_location)
        probes = "A and B, voted" if two else "one probe, A"
        reason = why.say(f"{shaft.key} has a thrust bearing: {probes}.")
        yield from axial_points(ctx, shaft, ("A", "B") if two else ("A",), reason)


@rule(id="PTS-AXI-020", title="Axial reading of a pinion held by thrust collars", phase=Phase.POINTS)
def collar_held_pinion(ctx: Context) -> Iterator[PointDraft]:
    """The collar hands the thrust to the bull gear; a reading shows collar wear before it matters."""
    if not (ctx.process and ctx.criticality == "critical"):
        return
    for shaft in ctx.shafts.values():
        if shaft.kind != "pinion" or shaft.axial_location != "thrust_collar":
            continue
        why = ctx.why()
        why.fact("criticality", ctx.criticality)
        why.fact(shaft.fact_path("axial_location"), "thrust_collar")
        reason = why.say(f"{shaft.key} is held by thrust collars: one probe, A, reading and alarm only.")
        yield from axial_points(ctx, shaft, ("A",), reason)


@rule(id="PTS-AXI-030", title="Axial position of a pinion located by its mesh", phase=Phase.POINTS)
def mesh_located_pinion(ctx: Context) -> Iterator[OpenPoint]:
    """A double helical mesh lets the pinion shuttle; what its position would prove is the maker's to say."""
    if not (ctx.process and ctx.criticality == "critical"):
        return
    for shaft in ctx.shafts.values():
        if shaft.axial_location != "mesh":
            continue
        why = ctx.why()
        path = shaft.fact_path("axial_location")
        why.fact(path, "mesh")
        text = f"{shaft.key} is located by its double helical mesh: whether its position is measured is open."
        yield OpenPoint(f"axial/{shaft.key}", path, text, "maker", (why.say(text),))
