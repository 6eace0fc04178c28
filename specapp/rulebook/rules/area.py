"""Hazardous area: level, gas group, temperature class, protection concept and marking of each point."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.catalogue.gases import Gas, GasSeverity, most_severe
from specapp.domain.proposal import Assumption, Check, OpenPoint
from specapp.kernel.area_classes import DIVISION_GROUPS, group_covers, temperature_class_limit_c
from specapp.kernel.errors import MissingInput
from specapp.rulebook.area_needs import Area, area_of
from specapp.rulebook.context import Assign, Context
from specapp.rulebook.registry import Phase, rule

Item = Assign | Assumption | Check | OpenPoint | str

_HYDROGEN_CAS = "1333-74-0"


@rule(
    id="ARE-MRK-010",
    title="Level, concept and marking of each point",
    phase=Phase.AREA,
    source="IEC 60079-14; NEC article 500",
    edition="edition to be confirmed",
    status="from memory",
)
def marking_of_each_point(ctx: Context) -> Iterator[Item]:
    """Whatever stands in a classified area must bear a marking that the area accepts."""
    told = ctx.machine.hazardous_area
    why = ctx.why()
    if told.unclassified:
        why.fact("hazardous_area", "unclassified")
        yield "Unclassified area: no marking is required of the transducers and boxes."
        why.say("Unclassified area: no marking is required.")
        return
    area = area_of(ctx)
    assert area is not None
    for name in ("zone", "division", "gas_group", "temperature_class", "equipment_protection_level"):
        value = getattr(told, name)
        if value is not None:
            why.fact(f"hazardous_area.{name}", value)
    if area.severity is not None:
        why.fact("hazardous_area.area_gases", list(told.area_gases))
    why.fact("installation.protection", ctx.machine.installation.protection)
    reason = why.say(_marking_text(ctx, area))
    if area.marking is None:
        text = (
            "Gas group or temperature class not told, and the area gases do not give both: "
            "the marking required of the devices is open."
        )
        missing = "gas_group" if not area.groups else "temperature_class"
        yield OpenPoint("area/marking", f"hazardous_area.{missing}", text, "owner", (reason,))
    values = {
        "zone": told.zone,
        "division": told.division,
        "equipment_protection_level": area.level,
        "protection": area.protection,
        "required_marking": area.marking,
    }
    given = {name: value for name, value in values.items() if value is not None}
    yield Assign(list(ctx.points.values()), given, reason)
    if area.marking is not None:
        yield f"Junction boxes and accelerometers bear the marking of the points: {area.marking}."
    if area.associated_marking is not None:
        yield f"Galvanic isolators, all channels alike, in the safe area: {area.associated_marking}."
    yield from _ambient_note(ctx)


def _marking_text(ctx: Context, area: Area) -> str:
    told = ctx.machine.hazardous_area
    place = f"Zone {told.zone}" if told.zone is not None else f"Division {told.division}"
    parts = [place]
    if area.level is not None:
        asked = " asked outright" if told.equipment_protection_level else ""
        parts.append(f"level {area.level}{asked}")
    if area.severity is not None:
        if told.gas_group is None:
            parts.append(f"group {' and '.join(area.groups)} by {area.severity.group_gas}")
        if told.temperature_class is None:
            parts.append(f"class {area.temperature_class} by {area.severity.temperature_gas}")
    parts.append(f"concept {area.protection}")
    if area.intrinsically_safe:
        parts.append("a resistance element or switch in such a circuit is simple apparatus")
    return f"{', '.join(parts)}: {area.marking or 'marking open'}."


def _ambient_note(ctx: Context) -> Iterator[str]:
    ambient = ctx.machine.ambient
    if ambient.minimum is None and ambient.maximum is None:
        return
    ends = [
        f"{word} {value:g} degC"
        for word, value in (("from", ambient.minimum), ("to", ambient.maximum))
        if value is not None
    ]
    yield f"Certificates in the area must cover the ambient {' '.join(ends)}."


@rule(
    id="ARE-CON-010",
    title="Protection concept asked for",
    phase=Phase.AREA,
    source="IEC 60079-14, equipment protection levels",
    edition="edition to be confirmed",
    status="from memory",
)
def protection_asked_is_admitted(ctx: Context) -> Iterator[Item]:
    """A concept that the area does not admit cannot be bought, whoever asked for it."""
    asked = ctx.machine.installation.protection
    if asked is None:
        return
    why = ctx.why()
    why.fact("installation.protection", asked)
    area = area_of(ctx)
    words = asked.replace("_", " ")
    if area is None:
        why.fact("hazardous_area", "unclassified")
        needless = asked != "none"
        text = (
            f"The area is unclassified; {words} is not applied."
            if needless
            else "No protection, and none needed."
        )
        yield Check(
            "area.protection",
            "machine",
            "caution" if needless else "pass",
            None,
            None,
            text,
            (),
            None,
            (why.say(text),),
        )
        return
    told = ctx.machine.hazardous_area
    place = f"zone {told.zone}" if told.zone is not None else f"division {told.division}"
    why.fact("hazardous_area." + place.split()[0], told.zone if told.zone is not None else told.division)
    level = "" if area.level is None else f" (level {area.level})"
    if area.refused is None:
        text = f"Asked: {words}; {place}{level} admits it as {area.protection}."
        yield _check("area.protection", "pass", text, why.say(text))
        return
    text = f"Asked: {words}; {place}{level} does not admit it. Proposed instead: {area.protection}."
    yield _check("area.protection", "fail", text, why.say(text), (f"Take {area.protection}.",))


@rule(id="ARE-GAS-010", title="Handled gas against the area", phase=Phase.AREA)
def handled_gas_fits_area(ctx: Context) -> Iterator[Check]:
    """A seal leaks what the machine handles; an area drawn for a milder gas does not protect against it."""
    why = ctx.why()
    names = why.fact("gases", list(ctx.machine.gases))
    told = ctx.machine.hazardous_area
    if not names and ctx.process:
        text = "Handled gas not told: not held against the area."
        yield _check("area.handled_gas", "not_evaluated", text, why.say(text), needs="gases")
        return
    burning = [ctx.gases[name] for name in names if ctx.gases[name].flammable]
    if not burning:
        text = f"{', '.join(names) or 'Air'}: nothing flammable is handled."
        yield _check("area.handled_gas", "pass", text, why.say(text))
        return
    listed = ", ".join(gas.name for gas in burning)
    if told.unclassified:
        why.fact("hazardous_area", "unclassified")
        text = f"{listed} is flammable and the area is unclassified: classify it, or show why it need not be."
        remedies = ("Have the area classified for the handled gas.",)
        yield _check("area.handled_gas", "fail", text, why.say(text), remedies)
        return
    area = area_of(ctx)
    assert area is not None
    try:
        handled = most_severe(burning, area.system)
    except MissingInput as missing:
        text = f"{missing.name} is not known: the area is not held against it."
        yield _check("area.handled_gas", "not_evaluated", text, why.say(text), needs="gases")
        return
    if area.marking is None:
        asked = f"{handled.group} {handled.temperature_class}"
        text = f"The area's gas group or class is not known; {listed} asks {asked}."
        yield _check(
            "area.handled_gas", "not_evaluated", text, why.say(text), needs="hazardous_area.gas_group"
        )
        return
    why.fact("hazardous_area.gas_group", " ".join(area.groups))
    why.fact("hazardous_area.temperature_class", area.temperature_class)
    problems, unlisted = _milder(area, burning, handled)
    asked = f"{' '.join(handled.groups)} {handled.temperature_class}"
    area_text = f"{' '.join(area.groups)} {area.temperature_class}"
    if problems:
        verb = "is" if len(problems) == 1 else "are"
        text = f"Area {area_text}; {listed} asks {asked}: the area's {' and '.join(problems)} {verb} milder."
        remedies = (f"Reclassify the area to at least {asked}.",)
        yield _check("area.handled_gas", "fail", text, why.say(text), remedies)
    elif unlisted:
        text = f"Area {area_text}; {listed} asks {asked}: no letter includes another, devices must name both."
        yield _check(
            "area.handled_gas",
            "caution",
            text,
            why.say(text),
            (f"Add group {' '.join(unlisted)} to the marking.",),
        )
    else:
        text = f"Area {area_text} covers {listed} ({asked})."
        yield _check("area.handled_gas", "pass", text, why.say(text))


@rule(id="ARE-GAS-020", title="Gases of the area against its group and class", phase=Phase.AREA)
def listed_gases_fit_area(ctx: Context) -> Iterator[Check]:
    """A group or class told beside the gases must not be milder than they are; the told one is used."""
    told = ctx.machine.hazardous_area
    area = area_of(ctx)
    if area is None or area.severity is None or (told.gas_group is None and told.temperature_class is None):
        return
    why = ctx.why()
    names = why.fact("hazardous_area.area_gases", list(told.area_gases))
    why.fact("hazardous_area.gas_group", told.gas_group)
    why.fact("hazardous_area.temperature_class", told.temperature_class)
    burning = [ctx.gases[name] for name in names if ctx.gases[name].flammable]
    problems, _ = _milder(area, burning, area.severity)
    asked = f"{' '.join(area.severity.groups)} {area.severity.temperature_class}"
    area_text = f"{' '.join(area.groups)} {area.temperature_class}"
    if not problems:
        text = f"Area {area_text} covers the gases named in it ({asked})."
        yield _check("area.listed_gas", "pass", text, why.say(text))
        return
    text = f"Area {area_text}; the gases named in it ask {asked}: {' and '.join(problems)} told too mild."
    remedies = (f"Tell at least {asked}, or correct the list of gases.",)
    yield _check("area.listed_gas", "fail", text, why.say(text), remedies)


def _milder(area: Area, burning: list[Gas], handled: GasSeverity) -> tuple[list[str], list[str]]:
    """Return what of the area is milder than the handled gas, and division letters it does not name."""
    problems: list[str] = []
    unlisted: list[str] = []
    if area.system == "zone":
        if not all(_covers(area.groups[0], gas) for gas in burning):
            problems.append("group")
    else:
        most = max(DIVISION_GROUPS.index(letter) for letter in area.groups)
        if DIVISION_GROUPS.index(handled.group) > most:
            problems.append("group")
        else:
            unlisted = [letter for letter in handled.groups if letter not in area.groups]
    limit_c = temperature_class_limit_c(area.temperature_class, area.system)
    if limit_c > temperature_class_limit_c(handled.temperature_class, area.system):
        problems.append("temperature class")
    return problems, unlisted


def _covers(area_group: str, gas: Gas) -> bool:
    if area_group == "IIB+H2" and gas.cas == _HYDROGEN_CAS:
        return True
    return gas.iec_group is not None and group_covers(area_group, gas.iec_group)


def _check(
    name: str, result: str, text: str, reason: int, remedies: tuple[str, ...] = (), needs: str | None = None
) -> Check:
    return Check(name, "machine", result, None, None, text, remedies, needs, (reason,))


@rule(id="ARE-RCK-010", title="Place of the rack", phase=Phase.AREA)
def rack_in_safe_area(ctx: Context) -> Iterator[Assumption]:
    """Racks, isolators and control systems are seldom built for the field; they stand in a room."""
    if ctx.machine.hazardous_area.unclassified:
        return
    rack = any(point.chain == "monitor" for point in ctx.points.values())
    what = "monitor rack" if rack else "control system"
    why = ctx.why()
    why.fact("rack_location", "safe area")
    text = f"The {what} stands in a safe area."
    changes = ("protection of the rack", "place of the isolators")
    yield Assumption("rack_location", "safe area", text, changes, 0, (why.say(text),))
