"""Intrinsically safe loops: what the isolator gives against what device and cable bear."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import Check, Measure, OpenPoint
from specapp.rulebook.area_needs import INTRINSICALLY_SAFE, area_of
from specapp.rulebook.check_answers import Answer, answer, not_evaluated
from specapp.rulebook.context import Context
from specapp.rulebook.entity_comparison import ENTITY_CRITERIA, EntityComparison, entity_comparison
from specapp.rulebook.loop_types import facts_of_machine, loop_types_of_groups
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.loops import counted, listed, on_loop
from specapp.rulebook.trace import Why

_CHECK = "intrinsic_safety.entity"
_DEVICES = "devices."
_CABLE = ("cable.capacitance", "cable.inductance")


@rule(
    id="INS-ENT-010",
    title="Entity comparison",
    phase=Phase.ARCHITECTURE,
    source="IEC 60079-14, 16.2.4.3; IEC 60079-25",
    edition="2013 (edition to be confirmed)",
    status="from memory",
)
def entity_of_each_loop(ctx: Context) -> Iterator[Check | OpenPoint]:
    """A loop is safe as a whole: source, cable and device must fit together, not each by itself."""
    groups = [group for group in ctx.groups.values() if group[0].protection in INTRINSICALLY_SAFE]
    if not groups:
        return
    area = area_of(ctx)
    assert area is not None, "intrinsic safety is proposed in classified areas only"
    facts = facts_of_machine(ctx.machine)
    fallback = any(ctx.criteria.get(key).override is None for key in _CABLE)
    untold: dict[str, None] = {}
    reasons = []
    for loop in loop_types_of_groups(groups):
        why = ctx.why()
        criteria = {key: why.criterion(key) for key in ENTITY_CRITERIA}
        why.fact("installation.cable_run", facts.run_m)
        if not area.groups:
            text = f"{counted(loop)}: gas group not told; what the source permits depends on it."
            yield from on_loop(loop, not_evaluated(why, _CHECK, "hazardous_area.gas_group", text))
            continue
        group = why.fact("hazardous_area.gas_group", area.groups[0])
        strictest = why.fact("hazardous_area.temperature_class", area.temperature_class) or "T6"
        compared = entity_comparison(
            loop, facts, group, criteria, temperature_class=strictest, fallback_cable=fallback
        )
        for device in ("isolator", loop.device):
            if facts.devices.get(device) is not None:
                why.fact(f"devices.{device}", "as told")
        found = _answer(why, compared)
        untold |= dict.fromkeys(path for path in compared.missing if path.startswith(_DEVICES))
        reasons.append(found.reason)
        yield from on_loop(loop, found)
    if untold:
        text = (
            f"Entity figures not told: {listed(untold)}. "
            "No loop counts as intrinsically safe until the certificates give them."
        )
        yield OpenPoint("intrinsic_safety/devices", next(iter(untold)), text, "supplier", tuple(reasons))
    if fallback and reasons:
        text = (
            f"Cable data are the fallback of {ctx.criteria.value(_CABLE[0]):g} pF/m and "
            f"{ctx.criteria.value(_CABLE[1]):g} uH/m: confirm them by the data sheet of the cable."
        )
        yield OpenPoint(
            "intrinsic_safety/cable", 'criteria["cable.capacitance"]', text, "supplier", tuple(reasons)
        )


def _answer(why: Why, compared: EntityComparison) -> Answer:
    name = counted(compared.loop)
    broken = [line for line in compared.lines if line.holds is False]
    measured = None if compared.run_m is None else Measure(compared.run_m, "m")
    known = not compared.missing and compared.longest is not None
    limit = Measure(compared.longest.length_m, "m") if known and compared.longest is not None else None
    if broken:
        said = "; ".join(
            f"{line.left_symbol} {line.left:g} {line.unit} is above {line.right_symbol} "
            f"{line.right:g} {line.unit}"
            for line in broken
        )
        return answer(
            why,
            _CHECK,
            "fail",
            f"{name}: {said}.",
            measured,
            limit,
            _remedies(compared, [b.name for b in broken]),
        )
    if compared.safe is None:
        text = f"{name}: not told: {listed(compared.missing)}."
        return not_evaluated(why, _CHECK, compared.missing[0], text, limit)
    assert compared.longest is not None
    halved = ", Co and Lo halved" if compared.halved else ""
    cable = "fallback cable data, to be confirmed" if compared.fallback_cable else "cable data as told"
    text = (
        f"{name}: voltage, current, power, capacitance and inductance fit in group {compared.gas_group}"
        f"{halved}; {cable}. Longest cable {compared.longest.length_m:.0f} m, by {compared.governed_by}."
    )
    return answer(why, _CHECK, "pass", text, measured, limit)


def _remedies(compared: EntityComparison, broken: list[str]) -> tuple[str, ...]:
    found = []
    if compared.longest is not None and {"capacitance", "inductance"} & set(broken):
        found.append(f"A cable of at most {compared.longest.length_m:.0f} m, by {compared.governed_by}.")
        if compared.fallback_cable:
            found.append("A cable whose data sheet gives less than the fallback.")
    if {"voltage", "current", "power"} & set(broken) or compared.longest is None:
        found.append("An isolator of milder output, or a device that bears more.")
    return tuple(found)
