"""The machine as told and completed, with the document each value was taken from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from specapp.documents.book import Book
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import NONE, measure, number, plain, quantity, words
from specapp.domain.proposal import Proposal

# Units of the canonical numbers of machine/1, by the name of the field; fields of other names are plain.
_UNITS: Final = {
    "speed": "rpm",
    "minimum_speed": "rpm",
    "trip_speed": "rpm",
    "first_critical_speed": "rpm",
    "journal_diameter": "mm",
    "diametral_clearance": "mm",
    "axial_float": "mm",
    "babbitt": "mm",
    "impeller_axial_clearance": "mm",
    "baseline_vibration": "um",
    "casing_baseline": "mm/s",
    "position_angle": "deg",
    "centre_distance": "mm",
    "probe_target_diameter": "mm",
    "probe_side_clearance": "mm",
    "probe_tip_spacing": "mm",
    "track_width": "mm",
    "measured_runout": "um",
    "seal_pressure": "bar",
    "power": "kW",
    "ball_diameter": "mm",
    "pitch_diameter": "mm",
    "contact_angle": "deg",
    "minimum": "degC",
    "maximum": "degC",
    "cable_run": "m",
    "probe_to_box": "m",
    "supply_voltage": "V",
    "loop_load": "ohm",
    "interface_resistance": "ohm",
    "width": "mm",
    "depth": "mm",
    "pulse_input_limit": "Hz",
    "sample_rate": "Hz",
    "proof_test_interval": "h",
}
_AXIAL: Final = frozenset({"axial_float", "babbitt", "impeller_axial_clearance"})
_ELSEWHERE: Final = frozenset({"format", "pinions", "sources", "criteria", "scope"})


def machine_data(book: Book, proposal: Proposal) -> None:
    """Set the facts of the machine, the table of its shafts, the pinions side by side, the sources."""
    machine = proposal.machine
    book.section("Machine data", landscape=False)
    _facts(book, machine)
    _shafts(book, proposal)
    _pinions(book, machine)
    _sources(book, machine)


def _value(book: Book, name: str, value: Any) -> str:
    unit = _UNITS.get(name)
    if unit is not None and isinstance(value, int | float) and not isinstance(value, bool):
        return quantity(float(value), unit, book.options.display_units, axial=name in _AXIAL)
    return plain(value)


def _flat(path: str, value: Mapping[str, Any]) -> list[tuple[str, str, Any]]:
    """Return (path, name, value) of every leaf that was told."""
    leaves: list[tuple[str, str, Any]] = []
    for name, item in value.items():
        inner = f"{path}.{name}" if path else name
        if not path and name in _ELSEWHERE:
            continue
        if isinstance(item, Mapping):
            leaves.extend(_flat(inner, item))
        elif item not in (None, "", [], ()):
            leaves.append((inner, name, item))
    return leaves


def _source(machine: Mapping[str, Any], path: str) -> str:
    source = (machine.get("sources") or {}).get(path)
    return _source_text(source) if source else ""


def _source_text(source: Mapping[str, Any]) -> str:
    parts = [
        str(source.get("document") or ""),
        f"rev. {source['revision']}" if source.get("revision") else "",
        f"p. {source['page']}" if source.get("page") else "",
        words(str(source["state"])) if source.get("state") else "",
    ]
    return ", ".join(part for part in parts if part)


def _facts(book: Book, machine: Mapping[str, Any]) -> None:
    rows = [
        (path.replace(".", ", ").replace("_", " "), _value(book, name, value), _source(machine, path))
        for path, name, value in _flat("", machine)
    ]
    columns = (
        Column("Fact", bold=True, widest=190),
        Column("Value", widest=220),
        Column("Source", widest=150),
    )
    set_table(book, Table(columns, rows))


def _shafts(book: Book, proposal: Proposal) -> None:
    book.heading("Shafts")
    display = book.options.display_units
    rows = [
        (
            shaft.name,
            shaft.maker_name or NONE,
            words(shaft.kind),
            measure(shaft.speed),
            measure(shaft.rotation_frequency),
            number(shaft.ratio),
            measure(shaft.acceptance_limit, display, detection="pp" if shaft.acceptance_limit else ""),
            ", ".join(map(str, shaft.stages)) or NONE,
        )
        for shaft in proposal.shafts
    ]
    columns = (
        Column("Shaft", bold=True),
        Column("Maker's name"),
        Column("Kind"),
        Column("Speed", "right"),
        Column("Rotation", "right"),
        Column("Ratio to bull gear", "right"),
        Column("Acceptance limit", "right"),
        Column("Stages", "right"),
    )
    set_table(book, Table(columns, rows))


def _pinions(book: Book, machine: Mapping[str, Any]) -> None:
    pinions = list(machine.get("pinions") or ())
    if not pinions:
        return
    names = [name for name in pinions[0] if any(p.get(name) not in (None, "", [], ()) for p in pinions)]
    rows = [
        (words(name), *(_value(book, name, pinion.get(name)) for pinion in pinions))
        for name in names
        if name != "name"
    ]
    if not rows:
        return
    book.heading("Pinions as told")
    columns = (
        Column("Fact", repeat=True, bold=True),
        *(Column(str(pinion.get("name") or f"P{i + 1}"), widest=120) for i, pinion in enumerate(pinions)),
    )
    set_table(book, Table(columns, rows))


def _sources(book: Book, machine: Mapping[str, Any]) -> None:
    sources = machine.get("sources") or {}
    if not sources:
        return
    book.heading("Sources of the data")
    rows = [
        (
            path,
            str(source.get("document") or NONE),
            str(source.get("revision") or NONE),
            str(source.get("page") or NONE),
            words(source.get("state")),
        )
        for path, source in sources.items()
    ]
    columns = (
        Column("Field", bold=True),
        Column("Document"),
        Column("Revision"),
        Column("Page"),
        Column("State"),
    )
    set_table(book, Table(columns, rows))
