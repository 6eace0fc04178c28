"""The machine as told and completed, with the document each value was taken from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from specapp.documents.book import Book
from specapp.documents.options import DisplayUnits
from specapp.documents.row_marks import About
from specapp.documents.tables import Column, Group, Table, set_table
from specapp.documents.wording import NONE, measure, number, told, words
from specapp.domain.proposal import Proposal

_ELSEWHERE: Final = frozenset({"format", "pinions", "sources", "criteria", "scope"})
_EMPTY: Final[tuple[Any, ...]] = (None, "", [], ())


def machine_data(book: Book, proposal: Proposal) -> None:
    """Set the facts of the machine, the table of its shafts, the pinions side by side, the sources."""
    machine = proposal.machine
    book.section("Machine data", landscape=False)
    _facts(book, machine)
    _shafts(book, proposal)
    _pinions(book, machine)
    _sources(book, machine)


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
    """Set the facts told of the machine, then those of each of its parts."""
    display = book.options.display_units
    rows: list[tuple[str, str, str]] = []
    groups: dict[str, list[tuple[str, str, str]]] = {"Machine": rows}
    for name, value in machine.items():
        if name in _ELSEWHERE or value in _EMPTY:
            continue
        if isinstance(value, Mapping):
            groups[words(name).capitalize()] = [
                (words(inner), told(path, item, display), _source(machine, path))
                for inner, path, item in _leaves(name, value)
            ]
        else:
            rows.append((words(name), told(name, value, display), _source(machine, name)))
    listed: list[tuple[str, ...] | Group] = []
    for title, facts in groups.items():
        if facts:
            listed += [Group(title), *facts]
    columns: tuple[Column, ...] = (
        Column("Fact", bold=True, widest=110),
        Column("Value", widest=120),
        Column("Source", widest=100),
    )
    has_source = any(row[2] for facts in groups.values() for row in facts)
    if not has_source:
        columns = columns[:2]
        listed = [row if isinstance(row, Group) else row[:2] for row in listed]
    set_table(book, Table(columns, listed))


def _leaves(path: str, part: Mapping[str, Any], label: str = "") -> Iterator[tuple[str, str, Any]]:
    """Yield (label, path, value) of every fact told of a part of the machine."""
    for name, item in part.items():
        inner = f"{label}, {name}" if label else name
        if isinstance(item, Mapping):
            yield from _leaves(f"{path}.{name}", item, inner)
        elif item not in _EMPTY:
            yield inner, f"{path}.{name}", item


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
    about = [About(shaft.name, book.options.changed("shafts", shaft.name)) for shaft in proposal.shafts]
    set_table(book, Table(columns, rows, about=about))


def _pinions(book: Book, machine: Mapping[str, Any]) -> None:
    pinions = list(machine.get("pinions") or ())
    if not pinions:
        return
    display = book.options.display_units
    names = dict.fromkeys(name for pinion in pinions for name, value in pinion.items() if value not in _EMPTY)
    rows = [
        (words(name), *(_pinion_fact(machine, i, name, display) for i in range(len(pinions))))
        for name in names
        if name != "name"
    ]
    if not rows:
        return
    book.heading("Pinions, as told and completed", with_next=min(30 + 13.0 * len(rows), 260))
    if any(path.startswith("pinions[") for path in machine.get("sources") or {}):
        book.paragraph("§ its document is named among the sources below.", size=6.8)
    columns = (
        Column("Fact", repeat=True, bold=True),
        *(Column(str(pinion.get("name") or f"P{i + 1}"), widest=120) for i, pinion in enumerate(pinions)),
    )
    set_table(book, Table(columns, rows))


def _pinion_fact(machine: Mapping[str, Any], index: int, name: str, display: DisplayUnits | None) -> str:
    path = f"pinions[{index}].{name}"
    text = told(path, machine["pinions"][index].get(name), display)
    return f"{text} §" if path in (machine.get("sources") or {}) else text


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
