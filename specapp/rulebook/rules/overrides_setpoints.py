"""Overrides of tips, setpoints, votes and delays; ranges, currents and checks follow from them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec.structs import replace

from specapp.domain.overrides import Override
from specapp.domain.proposal import AppliedOverride, Measure, Setpoint
from specapp.rulebook.context import Assign, Context, PointDraft
from specapp.rulebook.overriding import applied, overriding_reason
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.setpoints_radial import FAULT, NOISE
from specapp.rulebook.setpoint_values import plain_setpoint
from specapp.rulebook.setting_units import SettingUnit

Item = Assign | AppliedOverride


@rule(
    id="OVR-TRN-010",
    title="Probe tip by override",
    phase=Phase.TRANSDUCERS,
    supersedes=("INS-TIP-010", "INS-TIP-020"),
)
def tips(ctx: Context) -> Iterator[Item]:
    """A tip already bought or a boss already drilled stands; the checks say what it costs."""
    for item in ctx.overrides_of("tip"):
        point = ctx.points.get(item.item)
        if point is None or point.transducer is None or point.transducer.tip is None:
            continue
        probe = point.transducer
        rule_value = point.transducer.tip.value
        reason = overriding_reason(ctx, item, rule_value, "mm")
        changed = replace(probe, tip=Measure(item.value, "mm"), text=f"{item.value:g} mm tip, by override")
        yield Assign((point,), {"transducer": changed}, reason)
        yield applied(item, rule_value, point.shaft, "mm")


@rule(
    id="OVR-SET-010",
    title="Setpoints, votes and delays by override",
    phase=Phase.SETPOINTS,
    supersedes=(
        *("SET-RAD-010", "SET-RAD-020", "SET-AXI-010", "SET-CAS-020", "SET-CAS-040"),
        *("SET-TMP-010", "SET-TMP-020", "SET-TMP-030", "SET-OVS-010"),
    ),
)
def setpoints(ctx: Context) -> Iterator[Item]:
    """The machine maker and the owner know this machine; the rule knows all machines."""
    by_group: dict[str, list[Override]] = {}
    for item in ctx.overrides_of("alarm", "trip", "voting", "delay"):
        if item.item in ctx.groups:
            by_group.setdefault(item.item, []).append(item)
    for group, items in by_group.items():
        points = ctx.groups[group]
        values: dict[str, Setpoint | None] = {"alarm": points[0].alarm, "trip": points[0].trip}
        for item in items:
            rule_value, replaced = _rule_value(values, item.field), values.get(item.field)
            if not _change(ctx, points, values, item):
                continue
            unit = _setting_unit(values, item.field)
            reason = overriding_reason(ctx, item, rule_value, unit, replaced)
            changed = {name: each for name, each in values.items() if each is not None}
            yield Assign(points, changed, reason)
            yield applied(item, rule_value, points[0].shaft, unit)


def _setting_unit(values: dict[str, Setpoint | None], name: str) -> str:
    """Return the unit of a field of a group's setpoints, empty for a vote."""
    if name == "delay":
        return "s"
    setpoint = values.get(name)
    return "" if setpoint is None else setpoint.unit


def _rule_value(values: dict[str, Setpoint | None], field: str) -> Any:
    alarm, trip = values["alarm"], values["trip"]
    if field == "voting":
        return None if trip is None else trip.voting
    if field == "delay":
        first = trip or alarm
        return None if first is None or first.delay is None else first.delay.value
    setpoint = values[field]
    return None if setpoint is None else setpoint.value


def _change(
    ctx: Context, points: list[PointDraft], values: dict[str, Setpoint | None], item: Override
) -> bool:
    """Put an override into the setpoints of a group; tell whether there was anything to put it into."""
    if item.field == "voting":
        trip = values["trip"]
        if trip is None:
            return False
        fault = FAULT.get(item.value, trip.on_circuit_fault)
        values["trip"] = replace(trip, voting=item.value, on_circuit_fault=fault)
        return True
    if item.field == "delay":
        told = {name: each for name, each in values.items() if each is not None}
        values.update({name: replace(each, delay=Measure(item.value, "s")) for name, each in told.items()})
        return bool(told)
    unit = _unit(ctx, points[0].quantity)
    if unit is None:
        return False
    before = values[item.field] or _fresh(values, item, unit, points)
    two_sided = points[0].quantity == "axial_position"
    values[item.field] = replace(
        before,
        value=item.value,
        unrounded=item.value,
        low=-item.value if two_sided else None,
        governed_by="override",
        status=_status(points[0], unit.canonical(item.value)),
    )
    return True


def _unit(ctx: Context, quantity: str) -> SettingUnit | None:
    units = ctx.units
    return {
        "radial_vibration": units.displacement,
        "axial_position": units.axial,
        "casing_vibration": units.velocity,
        "bearing_temperature": units.temperature,
        "winding_temperature": units.temperature,
        "overspeed": units.speed,
    }.get(quantity)


def _fresh(
    values: dict[str, Setpoint | None], item: Override, unit: SettingUnit, points: list[PointDraft]
) -> Setpoint:
    """Return a setpoint where the rules propose none, such as a trip on a single element."""
    other = values["alarm"] or values["trip"]
    delay_s = other.delay.value if other is not None and other.delay is not None else 0.0
    trip = item.field == "trip"
    return plain_setpoint(
        item.value,
        item.value,
        unit.unit,
        delay_s=delay_s,
        governed_by="override",
        candidates=(),
        trace=(),
        voting=("1oo1" if len(points) == 1 else "2oo2") if trip else None,
        group=points[0].group,
        on_circuit_fault=FAULT["1oo1" if len(points) == 1 else "2oo2"] if trip else None,
    )


def _status(point: PointDraft, value: float) -> str:
    """Return hold for a radial value below the acceptance limit, whoever set it."""
    limit_um = point.shaft.acceptance_um
    if point.quantity == "radial_vibration" and limit_um is not None and value < limit_um - NOISE:
        return "hold"
    return "proposed"
