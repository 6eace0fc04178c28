"""The hazardous area: what it asks and admits, and a marking held against it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from specapp.assurance.forms import asked_level
from specapp.assurance.presenting.area_gases import gases_part
from specapp.assurance.presenting.functions import checks_table
from specapp.assurance.presenting.parts import Part
from specapp.catalogue.gases import most_severe
from specapp.documents.wording import NONE, prose, true_minus, words
from specapp.domain.proposal import Proposal
from specapp.kernel.area_classes import System
from specapp.kernel.errors import DomainError, KernelError
from specapp.kernel.hazardous_area import Marking, marking_notes, marking_problems, parse_marking
from specapp.kernel.protection_concepts import concepts_for_division, concepts_for_level
from specapp.projects.presenting.reader import Reader
from specapp.projects.presenting.tables import Block, Column, Folded, Lines, Row, Table

_ZONES = (
    ("zone 0", "explosive atmosphere present continuously or for long", "Ga", "1G"),
    ("zone 1", "likely in normal operation", "Ga, Gb", "2G"),
    ("zone 2", "not likely in normal operation, and only for a short time", "Ga, Gb, Gc", "3G"),
    ("division 1", "about zone 0 and zone 1 (common practice; equipment is listed for one system)", "–", "–"),
    ("division 2", "about zone 2", "–", "–"),
)
_AREA_CHECKS = ("area.",)


def area_parts(proposal: Proposal, reader: Reader) -> list[Part]:
    """Return the parts of the page of the area."""
    told = proposal.machine.get("hazardous_area")
    parts = [Part("asks", "What the area asks", _asks(proposal, told, reader))]
    if isinstance(told, Mapping):
        found = [*(told.get("area_gases") or ())]
        handled = [name for name in proposal.machine.get("gases") or () if name not in found]
        system: System = "division" if told.get("division") else "zone"
        parts.append(gases_part(found, handled, system, reader.display))
        parts.append(Part("admits", "Types of protection that the area admits", [_admits(proposal)]))
    checks = [check for check in proposal.checks if check.check.startswith(_AREA_CHECKS)]
    if checks:
        parts.append(Part("checks", "What the checks say", [checks_table(checks, "Checks of the area")]))
    columns = (Column("Area"), Column("Meaning", "says"), Column("Levels that serve"), Column("Category"))
    zones = Table("Zones and levels", columns, [Row(row) for row in _ZONES])
    text = "Zones are the owner's, never inferred here. IEC 60079-14, tables 1 and 2, from memory."
    parts.append(
        Part(
            "zones",
            "Zones, levels and divisions",
            [Folded("The systems", len(_ZONES), [zones]), Lines([text], style="soft")],
        )
    )
    return parts


def _asks(proposal: Proposal, told: Any, reader: Reader) -> list[Block]:
    if not isinstance(told, Mapping):
        return [Lines(["The area is unclassified: no marking is required."])]
    kinds: dict[tuple[str, ...], int] = {}
    for point in proposal.points:
        place = point.installation
        kind = (
            words(point.transducer.type),
            place.equipment_protection_level or NONE,
            words(place.protection),
            place.required_marking or NONE,
        )
        kinds[kind] = kinds.get(kind, 0) + 1
    area = f"zone {told['zone']}" if told.get("zone") is not None else f"division {told.get('division')}"
    facts = [
        Row(("Classification", area)),
        Row((reader.fact("hazardous_area.gas_group"), str(told.get("gas_group") or "by the gases"))),
        Row(
            (
                reader.fact("hazardous_area.temperature_class"),
                str(told.get("temperature_class") or "by the gases"),
            )
        ),
        Row(
            (
                reader.fact("hazardous_area.equipment_protection_level"),
                str(told.get("equipment_protection_level") or "by the zone"),
            )
        ),
    ]
    columns = (
        Column("Device"),
        Column("Points", "number"),
        Column("Level"),
        Column("Protection"),
        Column("Marking required", "nowrap"),
    )
    rows = [Row((kind[0], str(count), *kind[1:])) for kind, count in kinds.items()]
    notes = [
        prose(note)
        for note in proposal.architecture.notes
        if note.startswith(
            (
                "Certificates in the area",
                "Galvanic isolators",
                "Junction boxes and accel",
                "Ignition temperatures",
            )
        )
    ]
    return [
        Table("Classification", (Column("Of the area"), Column("Told")), facts),
        Table("Marking of each device", columns, rows),
        Lines(notes),
    ]


def _admits(proposal: Proposal) -> Block:
    place = proposal.points[0].installation
    if place.equipment_protection_level is not None:
        concepts = concepts_for_level(place.equipment_protection_level)
    elif place.division is not None:
        concepts = concepts_for_division(place.division)
    else:
        return Lines(["Open."])
    alike: dict[tuple[str, str, str], list[str]] = {}
    for each in concepts:
        name = each.name if each.level else NONE
        alike.setdefault((name, each.level or NONE, each.condition or NONE), []).append(each.code)
    columns = (Column("Codes"), Column("Type"), Column("Best level"), Column("Condition", "says"))
    return Table(
        "Types of protection", columns, [Row((", ".join(codes), *said)) for said, codes in alike.items()]
    )


@dataclass(frozen=True, slots=True)
class MarkingAnswer:
    """What a marking says, read in parts, and every reason for which it does not suit; none where it does."""

    asked: str
    reasons: tuple[str, ...]
    notes: tuple[str, ...]
    parts: tuple[tuple[str, str], ...]
    is_read: bool


def marking_answer(told: Mapping[str, Any]) -> MarkingAnswer:
    """Return what the checked form of a marking comes to."""
    level = asked_level(told["area"])
    system: System = "division" if level.startswith("Division") else "zone"
    groups, temperature_class, ignition_c = (
        [told["group"]] if told["group"] else [],
        told["temperature_class"],
        None,
    )
    asked = []
    if told["gas"]:
        try:
            found = most_severe(told["gas"], system)
        except KernelError as error:
            return MarkingAnswer(
                level, (f"the gases do not say what is asked: {error}",), (), *_parts(told["marking"])
            )
        groups = groups or list(found.groups)
        ignition_c = found.ignition_temperature_c
        asked.append(f"ignition at {ignition_c:g} °C ({found.temperature_gas}, {found.data_set})")
    known = [value for value in (told["coldest"], told["hottest"]) if value is not None]
    reasons: dict[str, None] = {}
    for group in groups[:1] if system == "zone" else groups:
        reasons |= dict.fromkeys(
            marking_problems(
                told["marking"],
                level=level,
                gas_group=group,
                ignition_temperature_c=ignition_c,
                temperature_class=temperature_class or None,
                ambient_c=tuple(known) if len(known) > 1 else (known[0] if known else None),
            )
        )
    asked = [level, f"group {' '.join(groups)}", *([temperature_class] if temperature_class else []), *asked]
    asked += [true_minus(f"air at {value:g} °C") for value in known]
    notes = marking_notes(told["marking"])
    if not temperature_class and ignition_c is None:
        notes.append(
            "No temperature class and no gas was given: the temperature of the surface is not weighed"
        )
    return MarkingAnswer(
        ", ".join(asked),
        tuple(map(_sentence, reasons)),
        tuple(map(_sentence, notes)),
        *_parts(told["marking"]),
    )


def _sentence(text: str) -> str:
    return prose(f"{text[:1].upper()}{text[1:].rstrip('.')}.")


def _parts(text: str) -> tuple[tuple[tuple[str, str], ...], bool]:
    try:
        found = parse_marking(text)
    except DomainError:
        return (), False
    return tuple((name, true_minus(value)) for name, value in _told_by(found) if value), True


def _told_by(found: Marking) -> tuple[tuple[str, str], ...]:
    low, high = found.ambient_minimum_c, found.ambient_maximum_c
    return (
        ("Types of protection", ", ".join(found.protections)),
        ("Serving, in brackets", ", ".join(found.associated)),
        ("Gas group", found.group),
        ("Temperature class", found.temperature_class or "none marked"),
        ("Level", found.level or "none marked: by the type of protection"),
        ("Category", f"{found.category}G" if found.category else ""),
        ("Zone", "" if found.zone is None else str(found.zone)),
        ("Air temperature", "none marked: -20 to 40 °C" if low is None else f"{low:g} to {high:g} °C"),
        ("Listing", "AEx or a division: listed in the United States" if found.listed else ""),
        ("Special conditions", "X: read the certificate" if found.special_conditions else ""),
        ("Component", "U: no equipment by itself" if found.component else ""),
    )
