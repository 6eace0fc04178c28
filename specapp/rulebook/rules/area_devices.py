"""What the area asks of each device told: its marking, and what the gases and the level admit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any

from specapp.domain.proposal import Check
from specapp.kernel.area_classes import (
    LEVELS,
    group_covers,
    is_level_at_least,
    required_temperature_class,
)
from specapp.kernel.errors import DomainError, OutOfRange
from specapp.kernel.hazardous_area import marking_notes, marking_problems, parse_marking
from specapp.kernel.markings import BEST_LEVELS
from specapp.kernel.protection_concepts import concepts_for_division, concepts_for_level
from specapp.rulebook.area_needs import INTRINSICALLY_SAFE, Area, area_of
from specapp.rulebook.check_answers import Answer, answer, not_evaluated
from specapp.rulebook.context import Context
from specapp.rulebook.entity_comparison import zone_group
from specapp.rulebook.loop_types import loop_types_of_machine
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.trace import Why

# One marking is weighed against one area over and over while a description is being edited.
_problems = lru_cache(maxsize=256)(marking_problems)
_notes = lru_cache(maxsize=256)(marking_notes)
_parsed = lru_cache(maxsize=256)(parse_marking)
_concepts = lru_cache(maxsize=8)(concepts_for_level)

_CHECK = "area.marking"
_WORST_LAST = ("pass", "caution", "fail")


@rule(
    id="ARE-DEV-010",
    title="Marking of each device told",
    phase=Phase.ARCHITECTURE,
    source="IEC 60079-14, tables 1 and 2; IEC 60079-0, clause 29; NEC articles 500 to 505",
    edition="edition to be confirmed",
    status="from memory",
)
def marking_of_each_device(ctx: Context) -> Iterator[Check]:
    """A device is bought for its marking; one reason against it is enough to keep it out of the area.

    The devices of a kind of loop are weighed together and the answer stands on each of its voting groups.
    """
    marked = {name: device for name, device in ctx.machine.devices.items() if device.marking}
    area = area_of(ctx) if marked else None
    if area is None:
        return
    for loop in ctx.once(loop_types_of_machine):
        safe = loop.points[0].protection in INTRINSICALLY_SAFE
        devices = (*loop.in_field, "isolator") if safe else loop.in_field
        told = [name for name in devices if name in marked]
        if not told:
            continue
        found = _of_loop(ctx, area, {name: marked[name] for name in told})
        for group in dict.fromkeys(point.group for point in loop.points):
            yield found.on(group)


def _of_loop(ctx: Context, area: Area, marked: Mapping[str, Any]) -> Answer:
    why = ctx.why()
    for name, device in marked.items():
        why.fact(f"devices.{name}.marking", device.marking)
    if not area.groups or not area.temperature_class:
        named = ", ".join(_title(name) for name in marked)
        text = f"{named}: gas group or temperature class of the area not told."
        needs = "hazardous_area.gas_group" if not area.groups else "hazardous_area.temperature_class"
        return not_evaluated(why, _CHECK, needs, text)
    found = [_marking(ctx, why, area, name, device) for name, device in marked.items()]
    result = max((each[0] for each in found), key=_WORST_LAST.index)
    text = " ".join(each[1] for each in found)
    return answer(why, _CHECK, result, text, remedies=tuple(each[2] for each in found if each[2]))


def _title(device: str) -> str:
    return device.replace("_", " ").capitalize()


def _marking(ctx: Context, why: Why, area: Area, name: str, device: Any) -> tuple[str, str, str]:
    """Return what one device's marking comes to, in words, and what would do instead."""
    shown = f'{_title(name)}, "{device.marking}"'
    if name == "isolator":
        reasons = _isolator_reasons(area, device.marking)
    else:
        reasons = _field_reasons(ctx, why, area, device)
    if reasons:
        wanted = area.associated_marking if name == "isolator" else area.marking
        text = f"{shown}: not suitable: {'; '.join(reasons)}."
        return "fail", text, f"{_title(name)}: a device marked {wanted} or better."
    notes = _notes(device.marking)
    text = f"{shown}: suits the area{'; ' + '; '.join(notes) if notes else ''}."
    return "caution" if _special(notes) else "pass", text, ""


def _special(notes: list[str]) -> bool:
    return any(note.startswith("X ") for note in notes)


def _field_reasons(ctx: Context, why: Why, area: Area, device: Any) -> list[str]:
    ambient = ctx.machine.ambient
    site = [why.fact(f"ambient.{end}", getattr(ambient, end)) for end in ("minimum", "maximum")]
    known = tuple(value for value in site if value is not None)
    ignition_c = area.severity.ignition_temperature_c if area.severity is not None else None
    level = area.level or f"Division {ctx.machine.hazardous_area.division}"
    reasons: dict[str, None] = {}
    for group in area.groups:
        found = _problems(
            device.marking,
            level=level,
            gas_group=group,
            ignition_temperature_c=ignition_c,
            temperature_class=area.temperature_class,
            ambient_c=known if len(known) > 1 else (known[0] if known else None),
        )
        reasons |= dict.fromkeys(found)
    for value in known:
        low, high = device.ambient_minimum, device.ambient_maximum
        if (low is not None and value < low) or (high is not None and value > high):
            bounds = " ".join(
                f"{word} {each:g} degC" for word, each in (("from", low), ("to", high)) if each is not None
            )
            reasons[f"it bears ambient temperatures {bounds}; the site has {value:g} degC"] = None
    return list(reasons)


def _isolator_reasons(area: Area, text: str) -> list[str]:
    """Weigh associated apparatus in the safe area: its bracket serves the circuits, its group the gas."""
    try:
        marking = _parsed(text)
    except DomainError as error:
        return [str(error)]
    if not marking.associated:
        return ["no protection in brackets: it is no associated apparatus"]
    # Circuits of a division are ia, whatever zone they would stand in.
    served = area.level or LEVELS[0]
    reasons = []
    if not any(is_level_at_least(BEST_LEVELS[each], served) for each in marking.associated):
        given = " ".join(marking.associated)
        reasons.append(f"its circuits are {given}; level {served} is needed")
    for group in area.groups:
        if not group_covers(marking.group, zone_group(group)):
            reasons.append(f"group {marking.group} is marked; {zone_group(group)} is needed")
    if marking.component:
        reasons.append("U marks a component, which is no equipment by itself")
    return reasons


@rule(
    id="ARE-IGN-010",
    title="Ignition temperatures where the data sets differ",
    phase=Phase.ARCHITECTURE,
    source="IEC 60079-20-1; NFPA 497",
    edition="2010; 2008",
    status="published",
)
def ignition_data_sets(ctx: Context) -> Iterator[str]:
    """The two published data sets give one gas different ignition temperatures; the lower keeps both safe."""
    area = area_of(ctx) if ctx.machine.hazardous_area.area_gases else None
    if area is None or area.severity is None:
        return
    why = ctx.why()
    said = []
    for name in why.fact("hazardous_area.area_gases", list(ctx.machine.hazardous_area.area_gases)):
        gas = ctx.gases[name]
        iec_c, nfpa_c = gas.ignition_iec_c, gas.ignition_nfpa_c
        if not gas.flammable or iec_c is None or nfpa_c is None or iec_c == nfpa_c:
            continue
        said.append(
            f"{gas.name} {iec_c:g} degC ({_class(iec_c, area)}) by IEC, "
            f"{nfpa_c:g} degC ({_class(nfpa_c, area)}) by NFPA"
        )
    found = area.severity
    if not said:
        why.say("The data sets agree on the ignition temperatures of the area gases.")
        return
    governs = f"{found.temperature_gas}, {found.ignition_temperature_c:g} degC by {found.data_set}"
    told = ctx.machine.hazardous_area.temperature_class
    outcome = f"told class {told} stands" if told else f"class {found.temperature_class}"
    text = (
        f"Ignition temperatures differ: {'; '.join(said)}. The lowest governs: {governs}, {outcome}; "
        "the adopted code says which set is binding."
    )
    why.say(text)
    yield text


def _class(ignition_c: float, area: Area) -> str:
    try:
        return required_temperature_class(ignition_c, area.system)
    except OutOfRange:
        return "no class"


@rule(
    id="ARE-ADM-010",
    title="Types of protection the area admits",
    phase=Phase.ARCHITECTURE,
    source="IEC 60079-14, tables 1 and 2; NEC 501.5 and 501.10(B)",
    edition="edition to be confirmed",
    status="from memory",
)
def concepts_admitted(ctx: Context) -> Iterator[str]:
    """A bidder may offer another type of protection than the one proposed, as long as the area admits it."""
    area = area_of(ctx)
    if area is None:
        return
    why = ctx.why()
    told = ctx.machine.hazardous_area
    if area.level is None:
        division = int(why.fact("hazardous_area.division", told.division or 1))
        codes = [each.code for each in concepts_for_division(division)]
        place = f"Division {division}"
    else:
        why.fact("hazardous_area.zone", told.zone)
        codes = [each.code for each in _concepts(area.level)]
        place = f"Level {area.level}"
    text = f"{place} admits: {', '.join(codes)}."
    why.say(text)
    yield text
