"""One probe position to scale: shaft, tips, metal-free space, spacing, track; letters lead to the words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from specapp.domain.display import with_unit
from specapp.domain.proposal import Check, Point, Proposal
from specapp.drawings.lettering import Letters
from specapp.drawings.scene import Circle, Group, Line, Polyline, Rect, Scene, SceneTable, Shape, Text
from specapp.drawings.symbols import arrow_head, direction
from specapp.drawings.text_extent import wrapped
from specapp.drawings.train import BULL_GEAR, Position, positions_of

WIDTH = 100.0
_MARGIN = 5.0
_TEXT = 3.0
_LINE = 4.2
_BODY_MM = 24.0  # visible length of a probe in its holder, real mm; common practice, for the picture only
_LETTER_MM = 6.0
_WALL_MM = 4.0
_LARGEST = 96.0  # height of the section on the sheet
_NOMINAL_DIAMETER_MM = 80.0
_DRAWN_GAP_MM = 1.3  # drawn, and not printed, where a proposal lists no mid gap
_RESULTS = {"pass": "passes", "caution": "caution", "fail": "fails", "not_evaluated": "not evaluated"}


@dataclass(frozen=True, slots=True)
class _Facts:
    """What is drawn, in real mm; None where nothing was told."""

    diameter: float | None
    tip: float
    gap: float
    gap_told: bool
    free_told: float | None
    free_wanted: float | None
    track: float | None
    notch: tuple[float, float] | None
    probes: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class _Note:
    letter: str
    text: str


def probe_sketch_scene(proposal: Proposal, key: str) -> Scene | None:
    """Return the sketch of the position a point belongs to; None for a point without proximity probe.

    Raises
    ------
    KeyError
        If the proposal has no point of that key.
    """
    position = next((p for p in positions_of(proposal) if any(point.key == key for point in p.points)), None)
    if position is None:
        raise KeyError(key)
    if position.points[0].transducer.type != "proximity_probe":
        return None
    checks = {check.check: check for check in proposal.checks if check.subject in (position.key, key)}
    facts = _facts(proposal, position, checks)
    notes = _notes(position, facts, checks)
    if position.quantity == "axial_position":
        shapes, y = _axial_view(facts, _MARGIN)
    else:
        letters = Letters(WIDTH)
        shapes, y = _cross_section(facts, _MARGIN, letters)
        if position.quantity == "radial_vibration":
            side, y = _side_view(facts, y + 4, letters)
            shapes += side
        shapes += letters.shapes
    y += 4
    words: list[Shape] = []
    for note in notes:
        lines = wrapped(note.text, _TEXT, WIDTH - 2 * _MARGIN - 6)
        words.append(Text(_MARGIN, y + 3, note.letter, _TEXT, weight="bold"))
        words += [Text(_MARGIN + 6, y + 3 + n * _LINE, line, _TEXT) for n, line in enumerate(lines)]
        y += len(lines) * _LINE + 0.8
    return Scene(
        name=f"probe-{position.key}",
        width=WIDTH,
        height=y + _MARGIN,
        title=f"Probes of {position.key}, {proposal.machine.get('tag') or 'the machine'}",
        description="Section across the shaft with the tips at their gap, seen from the driver's outer end.",
        shapes=(Group(position.key, position.label, tuple(shapes)), *words),
        table=SceneTable(
            ("Letter", "Dimension"), tuple((position.key, (note.letter, note.text)) for note in notes)
        ),
    )


def _facts(proposal: Proposal, position: Position, checks: Mapping[str, Check]) -> _Facts:
    machine = proposal.machine
    told = _told(machine, position.shaft)
    first = position.points[0]
    checked = _measured(checks, "probe.shaft_diameter")
    diameter = checked or told.get("probe_target_diameter") or told.get("journal_diameter")
    notch = (machine.get("installation") or {}).get("notch") or {}
    width, depth = notch.get("width"), notch.get("depth")
    clearance = checks.get("probe.side_clearance")
    gap = next((c.get("value") for c in proposal.criteria if c.get("key") == "probe.mid_gap"), None)
    return _Facts(
        diameter=diameter,
        tip=first.transducer.tip.value if first.transducer.tip else 8.0,
        gap=_DRAWN_GAP_MM if gap is None else float(gap),
        gap_told=gap is not None,
        free_told=told.get("probe_side_clearance") if position.quantity == "radial_vibration" else None,
        free_wanted=clearance.limit.value if clearance and clearance.limit else None,
        track=told.get("track_width"),
        notch=(width, depth) if width and depth and position.quantity == "phase_reference" else None,
        probes=tuple(_probe(point) for point in position.points),
    )


def _told(machine: Mapping[str, Any], shaft: str) -> Mapping[str, Any]:
    if shaft == BULL_GEAR:
        return machine.get("bull_gear") or {}
    return next((p for p in machine.get("pinions") or () if p.get("name") == shaft), {})


def _measured(checks: Mapping[str, Check], name: str) -> float | None:
    check = checks.get(name)
    return check.measured.value if check and check.measured else None


def _probe(point: Point) -> tuple[str, float]:
    return point.direction or "", point.angle.value if point.angle else 0.0


def _notes(position: Position, facts: _Facts, checks: Mapping[str, Check]) -> list[_Note]:
    gap = f", gap about {with_unit(facts.gap, 'mm')}" if facts.gap_told else ""
    notes = [_Note("t", f"tip {with_unit(facts.tip, 'mm')}{gap}")]
    if position.quantity == "axial_position":
        return notes + [_Note("", _answer(check)) for check in checks.values()]
    if "probe.shaft_diameter" not in checks:
        told = (
            f"shaft diameter {with_unit(facts.diameter, 'mm')}"
            if facts.diameter
            else "shaft diameter not told"
        )
        notes.append(_Note("D", told))
    if len(facts.probes) == 2 and "probe.tip_spacing" not in checks:
        notes.append(_Note("s", "between the tips"))
    if position.quantity == "radial_vibration" and "probe.track_width" not in checks:
        told = with_unit(facts.track, "mm") + " wide" if facts.track else "width not told"
        notes.append(_Note("w", f"probe track, {told}"))
    if facts.notch:
        width, depth = (with_unit(value, "mm") for value in facts.notch)
        notes.append(_Note("n", f"notch {width} wide, {depth} deep"))
    for letter, name in (
        ("D", "probe.shaft_diameter"),
        ("s", "probe.tip_spacing"),
        ("f", "probe.side_clearance"),
        ("w", "probe.track_width"),
    ):
        check = checks.get(name)
        if check is not None:
            notes.append(_Note(letter, _answer(check)))
    return notes


def _answer(check: Check) -> str:
    return f"{_RESULTS.get(check.result, check.result)}: {check.text}"


def _reaches(facts: _Facts) -> tuple[float, float, float, float]:
    """Return how far the section reaches from the shaft centre, real mm: left, right, up, down."""
    radius = (facts.diameter or _NOMINAL_DIAMETER_MM) / 2
    far = radius + facts.gap + _BODY_MM + _LETTER_MM
    free = max(facts.free_told + _WALL_MM if facts.free_told is not None else 0.0, facts.free_wanted or 0.0)
    half = facts.tip / 2 + max(free, 1.0)
    corners = [(0.0, 0.0)]
    for _, angle in facts.probes:
        ux, uy = direction(angle)
        corners += [(ux * far - uy * side, uy * far + ux * side) for side in (-half, half)]
    rim = radius * 1.08
    return (
        max(rim, *(-x for x, _ in corners)),
        max(rim, *(x for x, _ in corners)),
        max(rim, *(-y for _, y in corners)),
        max(rim, *(y for _, y in corners)),
    )


def _scale(facts: _Facts) -> float:
    """Return sheet mm per real mm: as large as the section fits, at most twice life size."""
    left, right, up, down = _reaches(facts)
    return min(2.0, (WIDTH - 2 * _MARGIN) / (left + right), _LARGEST / (up + down))


def _cross_section(facts: _Facts, top: float, letters: Letters) -> tuple[list[Shape], float]:
    scale = _scale(facts)
    radius = (facts.diameter or _NOMINAL_DIAMETER_MM) / 2 * scale
    left, right, up, down = (reach * scale for reach in _reaches(facts))
    x, y = (WIDTH + left - right) / 2, top + up
    shapes: list[Shape] = [
        Circle(x, y, radius, fill="hatch", line="thick" if facts.diameter else "dash"),
        Line(x - radius * 1.06, y, x + radius * 1.06, y, "chain"),
        Line(x, y - radius * 1.06, x, y + radius * 1.06, "chain"),
    ]
    if facts.notch:
        width, depth = (value * scale for value in facts.notch)
        shapes.append(Rect(x - width / 2, y - radius - 0.3, width, depth + 0.3, fill="paper"))
        letters.add(x + width / 2 + 3, y - radius + depth + 3, "n")
    tips = []
    for index, (letter, angle) in enumerate(facts.probes):
        shapes += _tip(facts, angle, (x, y), radius, scale, letters if index == 0 else None)
        end = radius + (facts.gap + _BODY_MM) * scale + 3
        if letter:
            letters.add(x + direction(angle)[0] * end, y + direction(angle)[1] * end, letter, 3.4)
        ux, uy = direction(angle)
        face = radius + facts.gap * scale
        tips.append((x + ux * face, y + uy * face))
    if len(tips) == 2:
        shapes.append(Line(*tips[0], *tips[1]))
        letters.add((tips[0][0] + tips[1][0]) / 2, (tips[0][1] + tips[1][1]) / 2, "s")
    letters.add(x - radius * 0.5, y + radius * 0.5, "D")
    shapes += _ruler(scale, facts, y + down + 1, letters)
    return shapes, y + down + 8


def _tip(
    facts: _Facts,
    angle: float,
    centre: tuple[float, float],
    radius: float,
    scale: float,
    letters: Letters | None,
) -> list[Shape]:
    """A probe at its gap, the wanted metal-free space dashed, the told metal hatched beside it."""
    ux, uy = direction(angle)
    px, py = -uy, ux
    face = radius + facts.gap * scale
    half = facts.tip / 2 * scale

    def corner(along: float, across: float) -> tuple[float, float]:
        return (centre[0] + ux * along + px * across, centre[1] + uy * along + py * across)

    def block(start: float, end: float, inner: float, outer: float) -> tuple[tuple[float, float], ...]:
        return (corner(start, inner), corner(end, inner), corner(end, outer), corner(start, outer))

    shapes: list[Shape] = []
    tip_length, body_end = facts.tip * 0.6 * scale, face + _BODY_MM * scale
    if facts.free_told is not None:
        inner = half + facts.free_told * scale
        outer = inner + _WALL_MM * scale
        for sign in (-1.0, 1.0):
            wall = block(face, body_end - 4 * scale, sign * inner, sign * outer)
            shapes.append(Polyline(wall, closed=True, fill="hatch"))
    if facts.free_wanted is not None:
        outer = half + facts.free_wanted * scale
        space = block(face, face + (facts.tip + 4) * scale, -outer, outer)
        shapes.append(Polyline(space, closed=True, line="dash"))
        if letters:
            letters.add(*corner(face + (facts.tip + 2) * scale, half + facts.free_wanted * scale / 2), "f")
    shapes.append(Polyline(block(face, face + tip_length, -half, half), closed=True, fill="ink"))
    body = block(face + tip_length, body_end, -half * 1.1, half * 1.1)
    shapes.append(Polyline(body, closed=True, fill="paper"))
    if letters:
        letters.add(*corner((face + tip_length + body_end) / 2, 0.0), "t")
    return shapes


def _ruler(scale: float, facts: _Facts, y: float, letters: Letters) -> list[Shape]:
    """Ten real millimetres, or the remark that the picture is not to scale."""
    if facts.diameter is None:
        return [letters.keep_clear(Text(_MARGIN, y + 4, "not to scale", _TEXT))]
    length = 10 * scale
    x = _MARGIN
    return [
        Line(x, y + 3, x + length, y + 3),
        Line(x, y + 1.8, x, y + 4.2),
        Line(x + length, y + 1.8, x + length, y + 4.2),
        letters.keep_clear(Text(x + length + 2, y + 4, with_unit(10, "mm"), _TEXT)),
    ]


def _side_view(facts: _Facts, top: float, letters: Letters) -> tuple[list[Shape], float]:
    """The shaft from the side with its probe track under the tip."""
    scale = _scale(facts)
    radius = (facts.diameter or _NOMINAL_DIAMETER_MM) / 2 * scale
    track = facts.track if facts.track is not None else facts.tip * 3
    half_track, half_tip = track / 2 * scale, facts.tip / 2 * scale
    x = WIDTH / 2
    probe_top = top + 2
    face = probe_top + 16 * scale
    tip_length = facts.tip * 0.6 * scale
    surface = face + facts.gap * scale
    height = min(radius, 16.0)
    left, right = x - max(half_track + 12, 28.0), x + max(half_track + 12, 28.0)
    shapes: list[Shape] = [
        Rect(x - half_tip * 1.1, probe_top, half_tip * 2.2, face - tip_length - probe_top, fill="paper"),
        Rect(x - half_tip, face - tip_length, half_tip * 2, tip_length, fill="ink"),
        Rect(left, surface, right - left, height, fill="paper", line="none"),
        Rect(
            x - half_track,
            surface,
            half_track * 2,
            height,
            fill="hatch",
            line="dash" if facts.track is None else "thin",
        ),
        Line(left, surface, right, surface, "thick"),
        Line(left, surface + height, right, surface + height, "hair"),
    ]
    dimension_y = surface + height + 5
    shapes += [
        Line(x - half_track, surface + height, x - half_track, dimension_y + 1.5, "hair"),
        Line(x + half_track, surface + height, x + half_track, dimension_y + 1.5, "hair"),
        Line(x - half_track, dimension_y, x + half_track, dimension_y),
        arrow_head(x - half_track, dimension_y, 270.0),
        arrow_head(x + half_track, dimension_y, 90.0),
    ]
    letters.add(x, dimension_y, "w")
    return shapes, dimension_y + 3


def _axial_view(facts: _Facts, top: float) -> tuple[list[Shape], float]:
    """A collar from the side with the probes at mid gap; positions only, not to scale."""
    count = len(facts.probes)
    pitch = max(2.6 * facts.tip, 20.0) * 0.7
    height = max(30.0, count * pitch + 8)
    x, y = WIDTH / 2 - 6, top + height / 2
    shapes: list[Shape] = [
        Line(_MARGIN, y, WIDTH - _MARGIN, y, "chain"),
        Rect(_MARGIN + 4, y - 5, x - _MARGIN - 4, 10, fill="paper"),
        Rect(x, y - height / 2, 6, height, fill="hatch"),
    ]
    for index in range(count):
        at = y + (index - (count - 1) / 2) * pitch if count > 1 else y - height / 4
        face = x + 6 + facts.gap * 1.6
        half = facts.tip / 2 * 0.8
        shapes.append(Rect(face, at - half, 4, half * 2, fill="ink"))
        shapes.append(Rect(face + 4, at - half * 1.1, 18, half * 2.2, fill="paper"))
    shapes.append(Line(x - 10, y + height / 2 - 2, x - 2, y + height / 2 - 2))
    shapes.append(arrow_head(x - 10, y + height / 2 - 2, 270.0))
    shapes.append(arrow_head(x - 2, y + height / 2 - 2, 90.0))
    shapes.append(Text(x - 6, y + height / 2 + 3, "not to scale", _TEXT, "middle"))
    return shapes, y + height / 2 + 5
