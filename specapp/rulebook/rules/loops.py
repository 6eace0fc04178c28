"""Loops: the voltage left at their devices, the bands of their currents, shields and earths."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from specapp.domain.proposal import Check, Measure, OpenPoint
from specapp.rulebook.area_needs import INTRINSICALLY_SAFE
from specapp.rulebook.check_answers import Answer, answer, not_evaluated
from specapp.rulebook.context import Context
from specapp.rulebook.loop_budget import (
    BUDGET_CRITERIA,
    SupplyBudget,
    has_supply_budget,
    supply_budget,
)
from specapp.rulebook.loop_types import LoopFacts, LoopType, facts_of_machine, loop_key, loop_types_of_machine
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.trace import Why

_CHECK = "loop.supply"
_DEVICES = "devices."
_SYMBOLS = {
    "uo_v": "Uo",
    "io_ma": "Io",
    "po_w": "Po",
    "co_nf": "Co",
    "lo_mh": "Lo",
    "ui_v": "Ui",
    "ii_ma": "Ii",
    "pi_w": "Pi",
    "ci_nf": "Ci",
    "li_uh": "Li",
    "minimum_voltage_v": "least voltage",
    "current_ma": "current",
    "supply_minimum_v": "least supply voltage",
}


def counted(loop: LoopType) -> str:
    """Return a kind of loop with the number of its points."""
    count = len(loop.points)
    return f"{loop.title} ({count} loop{'' if count == 1 else 's'})"


def on_loop(loop: LoopType, found: Answer) -> Iterator[Check]:
    """Yield an answer on every voting group of a kind of loop; one that waits for facts is said once."""
    if found.result == "not_evaluated":
        yield found.on(loop.points[0].group)
        return
    for group in dict.fromkeys(point.group for point in loop.points):
        yield found.on(group)


def listed(paths: Iterable[str]) -> str:
    """Return facts as words, those of one device together: "isolator Uo, Io; cable run"."""
    owners: dict[str, list[str]] = {}
    for path in paths:
        owner, _, field = path.rpartition(".")
        owners.setdefault(owner, []).append(_SYMBOLS.get(field, field.replace("_", " ")))
    return "; ".join(
        f"{owner.removeprefix(_DEVICES).replace('_', '-')} {', '.join(fields)}"
        if owner.startswith(_DEVICES)
        else ", ".join(fields)
        for owner, fields in owners.items()
    )


@rule(id="LOP-SUP-010", title="Voltage left at the device", phase=Phase.ARCHITECTURE, source="Ohm's law")
def supply_of_each_loop(ctx: Context) -> Iterator[Check | OpenPoint]:
    """A device that is short of voltage reads wrong when it matters: at the current that tells a fault."""
    facts = facts_of_machine(ctx.machine)
    untold: dict[str, None] = {}
    reasons = []
    for loop in ctx.once(loop_types_of_machine):
        if not has_supply_budget(loop):
            continue
        why = ctx.why()
        criteria = {key: why.criterion(key) for key in BUDGET_CRITERIA}
        isolated = loop.points[0].protection in INTRINSICALLY_SAFE
        budget = supply_budget(loop, facts, criteria, isolated=isolated)
        _read(why, budget, facts)
        if budget.works is None:
            text = f"{counted(loop)}: not told: {listed(budget.missing)}."
            found = not_evaluated(why, _CHECK, budget.missing[0], text)
            untold |= dict.fromkeys(path for path in budget.missing if path.startswith(_DEVICES))
            reasons.append(found.reason)
        else:
            assert budget.voltage_v is not None
            result = "pass" if budget.works else "fail"
            measured, limit = Measure(budget.voltage_v, "V"), Measure(budget.minimum.value, "V")
            remedies = () if budget.works else _remedies(budget)
            found = answer(why, _CHECK, result, _text(budget), measured, limit, remedies)
        yield from on_loop(loop, found)
    if untold:
        text = f"Loop data not told: {listed(untold)}. Placeholders illustrate the loops; none is verified."
        yield OpenPoint("loop/devices", next(iter(untold)), text, "supplier", tuple(reasons))


def _read(why: Why, budget: SupplyBudget, facts: LoopFacts) -> None:
    for given in (budget.supply, budget.minimum, budget.current, budget.interface, budget.load):
        if given.origin == "told":
            why.fact(given.path, given.value)
    why.fact("installation.cable_run", facts.run_m)
    why.fact("installation.conductor", facts.conductor)
    why.fact("ambient.maximum", facts.ambient_maximum_c)


def _text(budget: SupplyBudget) -> str:
    assert budget.cable_ohm is not None
    parts = [f"interface {budget.interface.value:g} ohm"] if budget.interface.value else []
    parts.append(
        f"cable {budget.cable_ohm:.3g} ohm ({budget.run_m:g} m of {budget.conductor} at "
        f"{budget.temperature.value:g} degC)"
    )
    if budget.load.value:
        parts.append(f"load {budget.load.value:g} ohm")
    limits = budget.limits
    text = (
        f"{counted(budget.loop)}: {budget.supply.value:g} V at least, {budget.current.value:g} mA through "
        f"{', '.join(parts)}: {budget.voltage_v:.2f} V at the device, {budget.minimum.value:g} V needed."
    )
    if limits.longest_cable_m is not None:
        text += f" It works to {limits.longest_cable_m:.0f} m"
        if budget.loop.is_current_loop and limits.largest_load_ohm is not None:
            text += f", or with a load to {limits.largest_load_ohm:.0f} ohm"
        text += "."
    return text


def _remedies(budget: SupplyBudget) -> tuple[str, ...]:
    limits = budget.limits
    found = []
    if limits.longest_cable_m is not None:
        found.append(f"A cable of at most {limits.longest_cable_m:.0f} m.")
    if limits.thinnest_conductor is not None:
        found.append(f"Conductors of at least {limits.thinnest_conductor}.")
    if budget.loop.is_current_loop and limits.largest_load_ohm is not None:
        found.append(f"A load of at most {limits.largest_load_ohm:.0f} ohm.")
    assert budget.voltage_v is not None
    short_v = budget.minimum.value - budget.voltage_v
    found.append(f"A supply of at least {budget.supply.value + short_v:.1f} V, or less resistance in series.")
    return tuple(found)


@rule(
    id="LOP-BND-010",
    title="Bands of the loop current",
    phase=Phase.ARCHITECTURE,
    source="NAMUR NE 43, in public descriptions",
    edition="2003 (edition to be confirmed)",
    status="published",
)
def bands_of_current(ctx: Context) -> Iterator[str]:
    """A current outside the measuring band tells of a broken circuit; read as a value it would mislead."""
    if not any(point.chain == "transmitter" for point in ctx.points.values()):
        return
    why = ctx.why()
    low, high = why.criterion("loop.fault_low"), why.criterion("loop.fault_high")
    from_ma, to_ma = why.criterion("loop.band_low"), why.criterion("loop.band_high")
    above = why.criterion("loop.above_trip")
    text = (
        f"Current loops: a reading from {from_ma:g} to {to_ma:g} mA, a circuit fault at {low:g} mA and below "
        f"or {high:g} mA and above, uncertain in between; {above:g} to {high:g} mA counts as above trip."
    )
    why.say(text)
    yield text


@rule(id="LOP-BND-020", title="Bands of the gap voltage", phase=Phase.ARCHITECTURE)
def bands_of_gap(ctx: Context) -> Iterator[str]:
    """A gap voltage at either end of its supply is a broken lead or a probe that touches, not a reading."""
    if not any(loop_key(point) == "oscillator_demodulator" for point in ctx.points.values()):
        return
    why = ctx.why()
    near, far = why.criterion("probe.fault_voltage_near"), why.criterion("probe.fault_voltage_far")
    rest, scale = why.criterion("probe.gap_voltage"), why.criterion("probe.scale_factor")
    text = (
        f"Gap voltages: {rest:g} V at rest, {scale:g} V/mm; a circuit fault above {near:g} V "
        f"and below {far:g} V."
    )
    why.say(text)
    yield text


@rule(
    id="LOP-SHD-010",
    title="Shields and earths",
    phase=Phase.ARCHITECTURE,
    source="API 670; IEC 60079-14, 16.2.2.3",
    edition="edition to be confirmed",
    status="from memory",
)
def shields_and_earths(ctx: Context) -> Iterator[str]:
    """A shield earthed twice carries the plant's earth currents, and they read as vibration."""
    why = ctx.why()
    safe = any(point.protection in INTRINSICALLY_SAFE for point in ctx.points.values())
    why.fact("installation.protection", ctx.machine.installation.protection)
    notes = []
    if any(loop_key(point) == "oscillator_demodulator" for point in ctx.points.values()):
        notes.append(
            "Probe and oscillator-demodulator bodies stand isolated from the machine; the signal common is "
            "earthed once, at the rack or control system."
        )
    notes.append("Shields run through the junction boxes on terminals of their own, unearthed there.")
    if safe:
        notes.append(
            "Intrinsically safe cables are light blue or labelled, never share a bundle with others and keep "
            "50 mm or a partition from them; galvanic isolators need no safety earth, a barrier needs one of "
            "at most 1 ohm."
        )
    why.say(" ".join(notes))
    yield from notes
