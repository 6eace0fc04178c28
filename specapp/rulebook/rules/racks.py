"""Monitor racks: modules, channels, fault groups, spare channels and supplies."""

from __future__ import annotations

import math
from collections.abc import Iterator

from specapp.domain.proposal import Check, Measure, Rack, RackChannel, RackModule
from specapp.rulebook.context import Context, PointDraft
from specapp.rulebook.counts import share_up
from specapp.rulebook.rack_packing import FilledModule, GroupShape, Packing, packed
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.trace import Why

DYNAMIC = "dynamic"
PHASE = "phase"
SPEED = "speed"
TEMPERATURE = "temperature"

_KIND_OF_QUANTITY = {
    "radial_vibration": DYNAMIC,
    "axial_position": DYNAMIC,
    "casing_vibration": DYNAMIC,
    "phase_reference": PHASE,
    "speed": SPEED,
    "bearing_temperature": TEMPERATURE,
    "winding_temperature": TEMPERATURE,
}
_RELAY_PLACES = 1
# Both legs of a thrust vote find a module of their own in one rack.
_LEAST_PLACES = 2


@rule(
    id="ARC-RCK-010",
    title="Monitor racks",
    phase=Phase.ARCHITECTURE,
    source="API 670, 5.4.1",
    edition="4th, 2000 (later editions to be confirmed)",
    status="published",
)
def monitor_racks(ctx: Context) -> Iterator[Rack | str]:
    """One failed circuit must not blind a bearing pair and its neighbours, nor both legs of a thrust vote."""
    monitored: dict[str, list[list[PointDraft]]] = {}
    for group in ctx.groups.values():
        # An override may take one point of a group to another chain.
        points = [point for point in group if point.chain == "monitor"]
        if points:
            monitored.setdefault(_KIND_OF_QUANTITY[group[0].quantity], []).append(points)
    if not monitored:
        return
    why = ctx.why()
    free = why.criterion("rack.free_slots")
    places = max(_LEAST_PLACES, int(why.criterion("rack.slots") - free) - _RELAY_PLACES)
    supplies = int(why.criterion("rack.power_supplies"))
    modules: list[tuple[FilledModule, list[str]]] = []
    spares: list[str] = []
    for kind in (DYNAMIC, PHASE, SPEED, TEMPERATURE):
        groups = monitored.get(kind)
        if groups is None:
            continue
        packing = _packing(ctx, why, kind, places)
        keys = [point.key for group in groups for point in group]
        needed = 0
        if kind in (DYNAMIC, TEMPERATURE):
            needed = share_up(len(keys), why.criterion("rack.spare_percent"))
            spares.append(f"{needed} spare {kind}")
        modules += [(module, keys) for module in packed(packing, tuple(map(_shape, groups)), needed)]
    count = math.ceil(len(modules) / places)
    why.say(
        f"{len(modules)} modules in {count} rack{'s' if count > 1 else ''} of {places} usable places "
        f"beside the relay module and the free place; at least {' and '.join(spares) or 'no spare'} channels."
    )
    for number in range(count):
        filled = modules[number * places : (number + 1) * places]
        yield _rack(f"R-{number + 1}", filled, places, supplies, int(free))
    yield (
        "The relay module of each rack takes the place behind its measuring modules; "
        "the power supplies have places of their own."
    )
    yield f"{supplies} power supplies a rack from separate feeders, each able to carry the whole rack."


def _packing(ctx: Context, why: Why, kind: str, places: int) -> Packing:
    if kind == TEMPERATURE:
        channels = int(why.criterion("rack.temperature_channels"))
        limit = int(why.criterion("rack.single_fault_temperature_channels"))
        return Packing(kind, (channels,), limit, True, places)
    limit = int(why.criterion("rack.single_fault_channels"))
    if kind != DYNAMIC:
        return Packing(kind, (int(why.criterion("rack.speed_channels")),), limit, True, places)
    channels = int(why.criterion("rack.dynamic_channels"))
    size = int(why.criterion("rack.fault_group_channels"))
    groups = tuple(min(size, channels - first) for first in range(0, channels, size))
    told = why.fact(
        "installation.fault_groups_independent", ctx.machine.installation.fault_groups_independent
    )
    return Packing(kind, groups, limit, told is not False, places)


def _shape(group: list[PointDraft]) -> GroupShape:
    casing = "driver" if group[0].shaft.kind == "driver" else "gear"
    return GroupShape(casing, len(group), group[0].quantity == "axial_position" and len(group) > 1)


def _rack(
    key: str, modules: list[tuple[FilledModule, list[str]]], places: int, supplies: int, free_slots: int
) -> Rack:
    frozen = tuple([_module(slot, *module) for slot, module in enumerate(modules, start=1)])
    spare = sum([module.free for module, _ in modules])
    return Rack(key, frozen, spare, free_slots + places - len(modules), supplies)


def _module(slot: int, module: FilledModule, keys: list[str]) -> RackModule:
    channels = [
        RackChannel(at, fault_group, None if number is None else keys[number])
        for at, (fault_group, number) in enumerate(module.channels, start=1)
    ]
    return RackModule(slot, module.kind, tuple(channels))


@rule(
    id="ARC-RCK-020",
    title="Reach of a single circuit fault",
    phase=Phase.ARCHITECTURE,
    source="API 670, 5.4.1",
    edition="4th, 2000 (later editions to be confirmed)",
    status="published",
)
def single_fault(ctx: Context) -> Iterator[Check]:
    """One fault costs no more than two channels only if the fault groups really are independent."""
    if not ctx.racks:
        return
    why = ctx.why()
    told = why.fact(
        "installation.fault_groups_independent", ctx.machine.installation.fault_groups_independent
    )
    limit = why.criterion("rack.single_fault_channels")
    worst = _worst_fault(ctx, independent=told is not False)
    measured, allowed = Measure(float(worst), "1"), Measure(limit, "1")
    needs: str | None = None
    remedies: tuple[str, ...] = ()
    result = "pass"
    if worst > limit:
        result = "fail"
        text = f"One circuit fault takes {worst} channels of one casing; {limit:g} are allowed."
        remedies = ("Use fewer channels a fault group.",)
    elif told is None:
        result, needs = "not_evaluated", "installation.fault_groups_independent"
        text = (
            f"At most {worst} channels of one casing a fault group. Whether the groups of a module fail "
            "independently is for the supplier to prove."
        )
    elif told:
        text = f"Fault groups proved independent: one fault takes at most {worst} channels of one casing."
    else:
        text = f"Fault groups not independent: a module holds at most {worst} channels of one casing."
    yield Check(
        "rack.single_fault", "machine", result, measured, allowed, text, remedies, needs, (why.say(text),)
    )


def _worst_fault(ctx: Context, *, independent: bool) -> int:
    """Return the most channels of one casing, temperature apart, that one circuit fault takes."""
    counts: dict[tuple[str, int, int, bool], int] = {}
    for rack in ctx.racks:
        for module in rack.modules:
            if module.kind == TEMPERATURE:
                continue
            for channel in module.channels:
                if channel.point is None:
                    continue
                group = channel.fault_group if independent else 0
                of_driver = ctx.points[channel.point].shaft.kind == "driver"
                unit = (rack.key, module.slot, group, of_driver)
                counts[unit] = counts.get(unit, 0) + 1
    return max(counts.values(), default=0)
