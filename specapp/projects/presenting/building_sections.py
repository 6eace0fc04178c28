"""Sections on what is built: area, architecture, bill, cause and effect, process protection, scope."""

from collections.abc import Sequence
from typing import Any

from specapp.documents.marks import ACTS
from specapp.documents.wording import NONE, plain, words
from specapp.domain.proposal import Architecture, CauseAndEffect, Proposal, Rack
from specapp.projects.presenting.figures import measured
from specapp.projects.presenting.reader import Reader, why, why_of
from specapp.projects.presenting.section import Section
from specapp.projects.presenting.tables import Block, Column, Figure, Folded, Lines, Row, Table, joined, small


def area(proposal: Proposal, reader: Reader) -> Section:
    kinds: dict[tuple[str, str, str, str], list[Any]] = {}
    for point in proposal.points:
        place = point.installation
        kind = (
            words(point.transducer.type),
            place.equipment_protection_level or NONE,
            words(place.protection),
            place.required_marking or NONE,
        )
        kinds.setdefault(kind, []).append(place)
    columns = (
        Column("Device"),
        Column("Points", "number"),
        Column("Level"),
        Column("Protection"),
        Column("Marking required", "nowrap"),
        Column("Notes", "says"),
    )
    rows = [
        Row(
            (
                kind[0],
                str(len(places)),
                *kind[1:],
                joined(dict.fromkeys(n for place in places for n in place.notes)),
            )
        )
        for kind, places in kinds.items()
    ]
    told = plain(proposal.machine.get("hazardous_area"))
    blocks = [Lines([f"Area: {told}."]), Table("Hazardous area", columns, rows)]
    return Section("area", "Hazardous area", len(rows), 0, "", blocks)


def architecture(proposal: Proposal, reader: Reader) -> Section:
    built = proposal.architecture
    count = len(built.junction_boxes) + sum(len(rack.modules) for rack in built.racks) + len(built.relays)
    drawing = Figure(
        "Architecture drawing",
        reader.drawing("architecture"),
        "The chain from transducers over boxes and racks to relays as a single line, read from left to right."
        " The tables below say the same.",
    )
    blocks: list[Block] = [Folded("Drawing", 1, [drawing])]
    if built.junction_boxes:
        blocks.append(_boxes(built))
    blocks += [_rack(rack) for rack in built.racks]
    if built.relays:
        blocks.append(Folded("Relays", len(built.relays), [_relays(built)]))
    if built.cables:
        blocks.append(Folded("Cables", len(built.cables), [_cables(built)]))
    if built.interfaces:
        lines = [f"{' to '.join(item.between)}: {words(item.kind)}. {item.text}" for item in built.interfaces]
        blocks.append(Folded("Interfaces", len(lines), [Lines(lines)]))
    if built.notes:
        blocks.append(Lines(built.notes))
    return Section("architecture", "Architecture", count, 0, "", blocks)


def _boxes(built: Architecture) -> Table:
    columns = (
        Column("Box", "nowrap"),
        Column("Casing", "nowrap"),
        Column("For", "nowrap"),
        Column("Positions", "number"),
        Column("Terminals, spare", "number"),
        Column("Points"),
    )
    rows = [
        Row(
            (
                box.key,
                words(box.casing) + (f", side {box.side}" if box.side else ""),
                words(box.purpose),
                f"{len(box.points)} of {box.positions}",
                f"{box.terminals}, {box.spare_terminals}",
                ", ".join(box.points),
            )
        )
        for box in built.junction_boxes
    ]
    return Table("Junction boxes", columns, rows, caption="Junction boxes")


def _rack(rack: Rack) -> Table:
    columns = (
        Column("Slot"),
        Column("Module", "nowrap"),
        Column("Channels: number, fault group, point", "channels"),
    )
    rows = [
        Row(
            (
                str(module.slot),
                words(module.kind),
                joined(
                    (
                        joined(
                            [str(item.channel), small(f"group {item.fault_group}"), item.point or "spare"],
                            " ",
                        )
                        for item in module.channels
                    ),
                    " · ",
                ),
            )
        )
        for module in rack.modules
    ]
    caption = (
        f"Rack {rack.key}: {rack.power_supplies} power supplies, {rack.spare_channels} spare channels,"
        f" {rack.free_slots} free slots"
    )
    return Table(f"Rack {rack.key}", columns, rows, caption=caption)


def _relays(built: Architecture) -> Table:
    columns = (Column("Relay"), Column("Purpose"), Column("Normally"), Column("Latched"), Column("Acts on"))
    rows = [
        Row(
            (
                relay.key,
                joined([why(words(relay.purpose), relay.trace), small(relay.text)]),
                words(relay.normally),
                "yes" if relay.latched else "no",
                ", ".join(relay.causes),
            )
        )
        for relay in built.relays
    ]
    return Table("Relays", columns, rows)


def _cables(built: Architecture) -> Table:
    columns = (Column("From"), Column("To"), Column("Kind"), Column("Length", "number"))
    rows = [
        Row((str(cable["from"]), str(cable["to"]), words(cable["kind"]), plain(cable["length"])))
        for cable in built.cables
    ]
    return Table("Cables", columns, rows)


def bill(proposal: Proposal, reader: Reader) -> Section:
    columns = (
        Column("Item"),
        Column("Description"),
        Column("Quantity", "number"),
        Column("Spares", "number"),
        Column("Unit"),
        Column("Supplied by", "nowrap"),
    )
    rows = [
        Row(
            (
                words(line.item),
                line.description,
                why(plain(line.quantity), line.trace),
                plain(line.spares),
                line.unit,
                words(line.supplied_by),
            )
        )
        for line in proposal.bill_of_materials
    ]
    return Section("bill", "Bill of materials", len(rows), 0, "", [Table("Bill of materials", columns, rows)])


def cause_and_effect(proposal: Proposal, reader: Reader) -> Section:
    found = proposal.cause_and_effect
    trips = [row for row in found if row.level == "trip"]
    others = [row for row in found if row.level != "trip"]
    blocks: list[Block] = [_matrix("Trips", trips, reader)] if trips else []
    if others:
        table = _matrix("Alarms and circuit faults", others, reader)
        blocks.append(Folded("Alarms and circuit faults", len(others), [table]))
    return Section("cause_and_effect", "Cause and effect", len(found), 0, "", blocks)


def _matrix(label: str, found: Sequence[CauseAndEffect], reader: Reader) -> Table:
    effects = list(dict.fromkeys(effect for row in found for effect in row.effects))
    columns = (
        Column("Cause", "nowrap"),
        Column("Level", "nowrap"),
        Column("Setting"),
        Column("Voting", "nowrap"),
        Column("Delay", "nowrap"),
        *(Column(words(effect), "effect") for effect in effects),
    )
    rows = [
        Row(
            (
                row.cause,
                why(words(row.level), row.trace),
                row.setting,
                row.voting or NONE,
                measured(row.delay, reader.display),
                *(ACTS if effect in row.effects else "" for effect in effects),
            )
        )
        for row in found
    ]
    return Table(label, columns, rows)


def process_protection(proposal: Proposal, reader: Reader) -> Section:
    columns = (
        Column("Protection"),
        Column("Alarm"),
        Column("Trip"),
        Column("Voting"),
        Column("Acts in", "nowrap"),
    )
    rows = [
        Row(
            (
                why_of(line.text, line.key),
                line.alarm or NONE,
                line.trip or NONE,
                line.voting or NONE,
                words(line.acts_in),
            )
        )
        for line in proposal.process_protection
    ]
    table = Table("Process protection", columns, rows)
    return Section("process_protection", "Process protection", len(rows), 0, "", [table])


def responsibility(proposal: Proposal, reader: Reader) -> Section:
    columns = (Column("Link of the chain"), Column("Owner", "nowrap"), Column("Standing"), Column("Note"))
    rows = [
        Row((words(line.link), words(line.owner), "assumed" if line.assumed else "stated", line.text))
        for line in proposal.responsibility
    ]
    table = Table("Who supplies what", columns, rows)
    return Section("responsibility", "Who supplies what", len(rows), 0, "", [table])
