"""The architecture: drawings, then boxes, racks, relays, cables and interfaces as schedules."""

from __future__ import annotations

from typing import Final

from specapp.documents.book import Book
from specapp.documents.row_marks import About
from specapp.documents.scene_pdf import landscape_room_mm, set_scene, suits_landscape
from specapp.documents.tables import Column, Group, Table, set_table
from specapp.documents.wording import NONE, grouped_keys, numbered_list, plain, prose, words
from specapp.domain.proposal import Proposal
from specapp.drawings.architecture_line import architecture_sheets
from specapp.drawings.machine_layout import layout_sheets
from specapp.drawings.trip_paths import trip_paths_scene

# Of the size drawn: the letters of the machine drawing are then 1.9 mm high with their descenders.
_LEAST_SCALE: Final = 0.65


def drawings(book: Book, proposal: Proposal) -> None:
    """Set the machine drawing, the measuring chains and the trip paths, each on the sheet that suits it.

    What a small sheet would print too small comes on several.
    """
    size = book.options.page_size
    room = (*landscape_room_mm(size), _LEAST_SCALE)
    scenes = [*layout_sheets(proposal, *room), *architecture_sheets(proposal, *room)]
    scenes.append(trip_paths_scene(proposal))
    first, *others = scenes
    book.section("Drawings", landscape=suits_landscape(first, size), new_sheet=True)
    set_scene(book, first)
    for scene in others:
        book.turn(landscape=suits_landscape(scene, size))
        set_scene(book, scene)


def equipment(book: Book, proposal: Proposal) -> None:
    """Set racks as schedules of channels, boxes, relays, cables and interfaces."""
    book.section("Architecture", landscape=True, new_sheet=True)
    architecture = proposal.architecture
    for note in architecture.notes:
        book.paragraph(prose(note), after=1)
    _racks(book, proposal)
    _boxes(book, proposal)
    _relays(book, proposal)
    _cables(book, proposal)
    _interfaces(book, proposal)


def _racks(book: Book, proposal: Proposal) -> None:
    tags = {point.key: point.tag for point in proposal.points}
    for rack in proposal.architecture.racks:
        book.heading(f"Rack {rack.key}", with_next=90)
        book.paragraph(
            f"Spare channels {rack.spare_channels}, free module places {rack.free_slots},"
            f" power supplies {rack.power_supplies}, each able to carry all."
        )
        rows: list[tuple[str, ...] | Group] = []
        about: list[About | None] = []
        for module in rack.modules:
            rows.append(Group(f"Place {module.slot}, {words(module.kind)}"))
            about.append(None)
            about.extend(
                About(channel.point or f"rack/{rack.key}", _is_new(book, channel.point))
                for channel in module.channels
            )
            rows.extend(
                (
                    str(channel.channel),
                    str(channel.fault_group),
                    NONE if channel.point is None else tags.get(channel.point, NONE),
                    "spare" if channel.point is None else channel.point,
                )
                for channel in module.channels
            )
        columns = (
            Column("Channel", "right"),
            Column("Fault group", "right"),
            Column("Tag", bold=True),
            Column("Point"),
        )
        set_table(book, Table(columns, rows, about=about))


def _is_new(book: Book, point: str | None) -> bool:
    return point is not None and book.options.changed("points", point)


def _boxes(book: Book, proposal: Proposal) -> None:
    boxes = proposal.architecture.junction_boxes
    if not boxes:
        return
    book.heading("Junction boxes", with_next=80)
    rows = [
        (
            box.key,
            words(box.purpose),
            words(box.casing),
            NONE if box.side is None else str(box.side),
            f"{len(box.points)} of {box.positions}",
            f"{box.terminals} + {box.spare_terminals} spare",
            grouped_keys(box.points),
        )
        for box in boxes
    ]
    columns = (
        Column("Box", bold=True, repeat=True),
        Column("Purpose", widest=150),
        Column("Casing", widest=100),
        Column("Side", "right"),
        Column("Positions used", "right"),
        Column("Terminals", "right"),
        Column("Points", widest=330),
    )
    about = [About(f"box/{box.key}", any(_is_new(book, key) for key in box.points)) for box in boxes]
    set_table(book, Table(columns, rows, about=about))


def _relays(book: Book, proposal: Proposal) -> None:
    relays = proposal.architecture.relays
    if not relays:
        return
    book.heading("Relays", with_next=80)
    rows = [
        (
            relay.key,
            words(relay.purpose),
            words(relay.normally),
            "latched" if relay.latched else "not latched",
            relay.rack or NONE,
            grouped_keys(relay.causes),
            relay.text,
            numbered_list(relay.trace),
        )
        for relay in relays
    ]
    columns = (
        Column("Relay", bold=True, repeat=True),
        Column("Purpose", widest=110),
        Column("Normally", widest=90),
        Column("Latching"),
        Column("Rack"),
        Column("Causes", widest=260),
        Column("What", widest=200),
        Column("Reason", widest=44),
    )
    set_table(book, Table(columns, rows, about=[About(f"relay/{relay.key}") for relay in relays]))


def _cables(book: Book, proposal: Proposal) -> None:
    cables = proposal.architecture.cables
    if not cables:
        return
    book.heading("Cables", with_next=80)
    rows = [
        (
            str(i + 1),
            plain(cable.get("from")),
            plain(cable.get("to")),
            words(cable.get("kind")),
            plain(cable.get("length")),
            grouped_keys([str(key) for key in cable.get("points") or ()]),
        )
        for i, cable in enumerate(cables)
    ]
    columns = (
        Column("No.", "right", repeat=True),
        Column("From", bold=True),
        Column("To", bold=True),
        Column("Kind"),
        Column("Length", "right"),
        Column("Points", widest=300),
    )
    set_table(book, Table(columns, rows))


def _interfaces(book: Book, proposal: Proposal) -> None:
    interfaces = proposal.architecture.interfaces
    if not interfaces:
        return
    book.heading("Interfaces", with_next=80)
    rows = [
        (item.key, words(item.kind), " to ".join(map(words, item.between)), words(item.direction), item.text)
        for item in interfaces
    ]
    columns = (
        Column("Interface", bold=True),
        Column("Kind", widest=110),
        Column("Between", widest=180),
        Column("Direction", widest=90),
        Column("What", widest=300),
    )
    set_table(book, Table(columns, rows))
