"""The setpoint schedule, and how each setpoint came about."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from specapp.documents.book import Book
from specapp.documents.fonts import BOLD
from specapp.documents.marks import GOVERNS, OPEN, state
from specapp.documents.row_marks import About
from specapp.documents.scene_pdf import set_scene
from specapp.documents.tables import Column, set_table, trimmed
from specapp.documents.wording import (
    criterion_marks,
    measure,
    number,
    numbered_list,
    on_two_lines,
    pair,
    range_text,
    reading_setting_text,
    setting_text,
    tags_text,
    words,
)
from specapp.domain.proposal import Candidate, Point, Proposal, Setpoint
from specapp.drawings.setpoint_scale import setpoint_scale_scene

_SUPERSCRIPTS = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")


def setpoint_schedule(book: Book, proposal: Proposal) -> None:
    """Set the cautions in full, then one row a point with its alarm and its trip."""
    book.section("Setpoint schedule", landscape=True, with_next=170)
    for i, caution in enumerate(proposal.cautions):
        book.paragraph(f"{i + 1}.  {caution}", font=BOLD if i == 0 else "DejaVuSansCondensed", after=1)
    book.space(4)
    book.paragraph(
        f"Settings are recorded in the machine's setting units. {state('hold')}: shown, and not released to"
        f" the channel setting sheets. {state('placeholder')}: to be replaced by the maker's value.",
        after=6,
    )
    for name, points in _by_quantity(proposal.points):
        rows = [(about, row) for point in points for about, row in _rows(book, point)]
        if rows:
            book.heading(_sentence(words(name)), with_next=70)
            columns = _columns("V p-p" if name == "radial_vibration" else "V d.c.")
            set_table(book, trimmed(columns, [row for _, row in rows], about=[about for about, _ in rows]))


def _columns(volts: str) -> tuple[Column, ...]:
    return (
        Column("Tag", repeat=True, bold=True),
        Column("Point", repeat=True, widest=110),
        Column("Range", widest=90),
        Column("Alarm", "right", bold=True, widest=90, field="alarm"),
        Column("State"),
        Column("Delay", "right"),
        Column("mA", "right"),
        Column(volts, "right"),
        Column("Trip", "right", bold=True, widest=90, field="trip"),
        Column("State"),
        Column("Delay", "right"),
        Column("Voting", field="voting"),
        Column("Latched"),
        Column("mA", "right"),
        Column(volts, "right"),
        Column("On circuit fault", widest=110),
        Column("Multiplier", widest=90),
    )


def _by_quantity(points: Iterable[Point]) -> list[tuple[str, list[Point]]]:
    groups: dict[str, list[Point]] = {}
    for point in points:
        groups.setdefault(point.quantity, []).append(point)
    return list(groups.items())


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _about(book: Book, point: Point, prefix: str = "") -> About:
    """Return what a row of the schedule is about: the point, changed where a setpoint of its group is."""
    changed = book.options.changed
    return About(
        point.key,
        any(changed("setpoints", point.voting_group, f"{prefix}{level}") for level in ("alarm", "trip"))
        or changed("ranges", point.key)
        or changed("points", point.key),
    )


def _rows(book: Book, point: Point) -> list[tuple[About, tuple[str, ...]]]:
    display = book.options.display_units
    axial = point.quantity == "axial_position"
    rows: list[tuple[About, tuple[str, ...]]] = []
    alarm, trip = point.setpoints.alarm, point.setpoints.trip
    if alarm is not None or trip is not None:
        row = (
            tags_text(point),
            point.key,
            on_two_lines(range_text(point.range, display, axial=axial)),
            on_two_lines(setting_text(alarm, point, display)),
            *_level(alarm),
            on_two_lines(setting_text(trip, point, display)),
            *_trip(trip),
            _multiplier(point),
        )
        rows.append((_about(book, point), row))
    for reading in point.further_readings:
        alarm, trip = reading.setpoints.alarm, reading.setpoints.trip
        if alarm is None and trip is None:
            continue
        row = (
            tags_text(point),
            f"{point.key}\n{words(reading.quantity)}",
            on_two_lines(range_text(reading.range, display)),
            on_two_lines(reading_setting_text(alarm, reading, display)),
            *_level(alarm),
            on_two_lines(reading_setting_text(trip, reading, display)),
            *_trip(trip),
            "",
        )
        rows.append((_about(book, point, f"{reading.quantity} "), row))
    return rows


def _level(setpoint: Setpoint | None) -> tuple[str, str, str, str]:
    if setpoint is None:
        return ("", "", "", "")
    return (
        state(setpoint.status),
        measure(setpoint.delay),
        pair(setpoint.milliamps, setpoint.milliamps_low, 2),
        pair(setpoint.volts, setpoint.volts_low, 2),
    )


def _trip(setpoint: Setpoint | None) -> tuple[str, ...]:
    if setpoint is None:
        return ("", "", "", "", "", "", "")
    status, delay, milliamps, volts = _level(setpoint)
    latched = "" if setpoint.latched is None else number(setpoint.latched)
    fault = words(setpoint.on_circuit_fault) if setpoint.on_circuit_fault else ""
    return (
        status,
        delay,
        words(setpoint.voting) if setpoint.voting else "",
        latched,
        milliamps,
        volts,
        fault,
    )


def _multiplier(point: Point) -> str:
    if point.multiplier is None:
        return ""
    multiplier = point.multiplier
    return f"× {number(multiplier.factor)}, {multiplier.armed_by}, at most {measure(multiplier.time_out)}"


# How each setpoint came about


@dataclass(frozen=True, slots=True)
class _Basis:
    """One setpoint shared by the points of a voting group."""

    group: str
    level: str
    setpoint: Setpoint
    point: Point


def setpoint_basis(book: Book, proposal: Proposal) -> None:
    """Set every candidate of every setpoint, the governing one pointed at."""
    book.section("Setpoint basis", landscape=True, with_next=120)
    book.paragraph(
        f"Every way to reach a setpoint, unrounded; {GOVERNS} points at the one that governs. Settings are"
        f" rounded once, down, in the setting units. {OPEN} not evaluated: the figure names the missing fact."
    )
    marks = criterion_marks(proposal)
    for name, points in _by_quantity(proposal.points):
        for entries in _families(_entries(points)):
            _basis_table(book, _sentence(words(name)), entries, marks)


def _families(entries: list[_Basis]) -> list[list[_Basis]]:
    """Return the setpoints apart by the family of criteria they come from: motor, radial, ..."""
    families: dict[str, list[_Basis]] = {}
    for entry in entries:
        if entry.setpoint.candidates:
            family = entry.setpoint.candidates[0].criterion.partition(".")[0]
            families.setdefault(family, []).append(entry)
    return list(families.values())


def _basis_table(book: Book, title: str, entries: list[_Basis], marks: Mapping[str, str]) -> None:
    keys = list(dict.fromkeys(_short(c.criterion) for entry in entries for c in entry.setpoint.candidates))
    needs: dict[str, int] = {}
    rows = [_basis_row(book, entry, keys, needs, marks) for entry in entries]
    columns = (
        Column("Points", repeat=True, bold=True, widest=130),
        Column("Level", repeat=True),
        *(Column(_sentence(words(key)), "right", widest=90) for key in keys),
        Column("Unrounded", "right"),
        Column("Set", "right", bold=True),
        Column("State"),
        Column("Governed by", widest=130),
        Column("Reason", widest=60),
    )
    about = [
        About(entry.group, book.options.changed("setpoints", entry.group, entry.level)) for entry in entries
    ]
    book.heading(title, with_next=70)
    set_table(book, trimmed(columns, rows, about=about))
    for need, index in needs.items():
        book.paragraph(f"{str(index).translate(_SUPERSCRIPTS)} needs {need}", size=6.8, after=0)
    if needs:
        book.space(6)


def _entries(points: list[Point]) -> list[_Basis]:
    """Return the setpoints of a quantity, one for all points of a voting group that share it."""
    entries: dict[tuple[str, str, object], _Basis] = {}
    for point in points:
        for level, setpoint in (("alarm", point.setpoints.alarm), ("trip", point.setpoints.trip)):
            if setpoint is not None:
                same = (point.voting_group, level, (setpoint.value, setpoint.low, setpoint.status))
                entries.setdefault(same, _Basis(point.voting_group, level, setpoint, point))
    return list(entries.values())


def _short(criterion: str) -> str:
    """Return a criterion's name without its family and level: "radial.trip_zone" is "zone"."""
    name = criterion.rpartition(".")[2]
    for level in ("alarm", "trip"):
        name = name.removeprefix(f"{level}_").removesuffix(f"_{level}")
    return name


def _basis_row(
    book: Book, entry: _Basis, keys: list[str], needs: dict[str, int], marks: Mapping[str, str]
) -> tuple[str, ...]:
    setpoint = entry.setpoint
    by_key = {_short(candidate.criterion): candidate for candidate in setpoint.candidates}
    governing = _short(setpoint.governed_by)
    cells = [_candidate(by_key.get(key), key == governing, needs, marks) for key in keys]
    return (
        entry.group,
        entry.level,
        *cells,
        number(setpoint.unrounded),
        on_two_lines(setting_text(setpoint, entry.point, book.options.display_units)),
        state(setpoint.status),
        setpoint.governed_by,
        numbered_list(setpoint.trace),
    )


def _candidate(
    candidate: Candidate | None, governs: bool, needs: dict[str, int], marks: Mapping[str, str]
) -> str:
    if candidate is None:
        return ""
    if candidate.value is None:
        index = needs.setdefault(candidate.needs or "a fact not told", len(needs) + 1)
        return f"{OPEN}{str(index).translate(_SUPERSCRIPTS)}"
    text = f"{number(candidate.value)}{marks.get(candidate.criterion, '')}"
    return f"{GOVERNS} {text}" if governs else text


def setpoint_scales(book: Book, proposal: Proposal) -> None:
    """Set the scales of each shaft: limits, alarm, trip and full scale one under another."""
    shafts = dict.fromkeys(point.shaft for point in proposal.points if _has_setpoint(point))
    if not shafts:
        return
    book.section("Setpoint scales", landscape=False, new_sheet=True)
    for shaft in shafts:
        set_scene(book, setpoint_scale_scene(proposal, shaft))


def _has_setpoint(point: Point) -> bool:
    return point.setpoints.alarm is not None or point.setpoints.trip is not None
