"""The gear unit seen from the driver's outer end: bull gear, pinions at their angles, probe directions."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot

from specapp.domain.display import with_unit
from specapp.drawings.placing import Occupied, spread
from specapp.drawings.scene import Arc, Circle, Group, Line, Shape, Text, Weight
from specapp.drawings.symbols import arrow_head, direction, leader, probe
from specapp.drawings.text_extent import shortened, text_box
from specapp.drawings.train import BULL_GEAR, Train, speed_text

# Where pinions are drawn when the description does not say; the sheet then says so.
_USUAL_ANGLES: dict[int, tuple[float, ...]] = {
    1: (90.0,),
    2: (270.0, 90.0),
    3: (270.0, 90.0, 0.0),
    4: (270.0, 90.0, 325.0, 35.0),
    5: (255.0, 105.0, 306.0, 54.0, 0.0),
}
_GEAR_RADIUS = 25.0
_JOURNAL_RADIUS = 5.0
_SMALLEST_PINION = 1.8
_WHEEL_RADIUS = 12.0
_LABEL_WIDTH = 36.0
_LINE_HEIGHT = 3.7
_TEXT = 2.9
_REACH = _GEAR_RADIUS + 4 + _WHEEL_RADIUS + 5
WIDTH = 2 * (_REACH + _LABEL_WIDTH)


@dataclass(frozen=True, slots=True)
class _Placed:
    name: str
    x: float
    y: float
    pitch_radius: float
    ring_radius: float


def pinion_angles(train: Train) -> dict[str, float]:
    """Return the angle at which each pinion is drawn: as entered, else the usual place still free."""
    angles = {p.name: p.position_angle_deg for p in train.pinions if p.position_angle_deg is not None}
    usual = list(_USUAL_ANGLES.get(len(train.pinions), ()))
    for pinion in train.pinions:
        if pinion.name in angles:
            continue
        places = usual + [15.0 * step for step in range(24)]
        free = [angle for angle in places if all(_apart(angle, taken) >= 44 for taken in angles.values())]
        angles[pinion.name] = (
            free[0]
            if free
            else max(places, key=lambda a: min((_apart(a, taken) for taken in angles.values()), default=0.0))
        )
    return angles


def _apart(one: float, other: float) -> float:
    difference = abs(one - other) % 360
    return min(difference, 360 - difference)


def end_view(train: Train, left: float, top: float) -> tuple[tuple[Shape, ...], float]:
    """Return the view, WIDTH mm wide from the given corner, and its lower edge."""
    about_axis = _placed(train)
    above, below = _extent(about_axis)
    columns = _columns(about_axis)
    height = max(above + below, *(sum(_label_height(train, one) for one in column) for column in columns))
    centre = (left + WIDTH / 2, top + above)
    placed = [_moved(one, centre) for one in about_axis]
    occupied = Occupied(left + WIDTH, top + height)
    labels: list[Group] = []
    for number, column in enumerate(columns):
        members = [_moved(one, centre) for one in column]
        labels += _labels(train, members, placed, left, (top, top + height), right_side=number == 1)
    for group in labels:
        for part in group.shapes:
            if isinstance(part, Text):
                occupied.take(text_box(part))
    gear = _bull_gear(train, *centre, occupied)
    pinions = [_pinion(train, one, centre, occupied) for one in placed]
    return (gear, *pinions, *labels), top + height


def _moved(one: _Placed, by: tuple[float, float]) -> _Placed:
    return replace(one, x=one.x + by[0], y=one.y + by[1])


def _extent(placed: list[_Placed]) -> tuple[float, float]:
    """Return how far the outline reaches above and below the axis of the bull gear at (0, 0)."""
    above = max([_GEAR_RADIUS, *(one.ring_radius - one.y for one in placed)])
    below = max([_GEAR_RADIUS, *(one.y + one.ring_radius for one in placed)])
    return above + 3, below + 3


def _placed(train: Train) -> list[_Placed]:
    """Return the pinions about the bull gear's axis at (0, 0)."""
    angles = pinion_angles(train)
    centres: dict[str, tuple[float, float, float]] = {}
    for pinion in train.pinions:
        line = train.shaft(pinion.name)
        ratio = line.ratio if line is not None and line.ratio else 10.0
        radius = min(max(_GEAR_RADIUS / ratio, _SMALLEST_PINION), 4.0)
        ux, uy = direction(angles[pinion.name])
        reach = _GEAR_RADIUS + radius
        centres[pinion.name] = (ux * reach, uy * reach, radius)
    placed = []
    for name, (x, y, radius) in centres.items():
        nearest = min(
            (hypot(x - ox, y - oy) for other, (ox, oy, _) in centres.items() if other != name),
            default=4 * _WHEEL_RADIUS,
        )
        ring = max(radius + 1.5, min(_WHEEL_RADIUS, nearest / 2 - 1.0))
        placed.append(_Placed(name, x, y, radius, ring))
    return placed


def _directions(train: Train, shaft: str) -> tuple[tuple[str, float], ...]:
    """Return the distinct (letter, angle) of the radial probes of a shaft."""
    found: dict[tuple[str, float], None] = {}
    for position in train.at(shaft):
        for point in position.points:
            if point.quantity == "radial_vibration" and point.angle is not None:
                found[(point.direction or "", point.angle.value)] = None
    return tuple(found)


def _bull_gear(train: Train, x: float, y: float, occupied: Occupied) -> Group:
    reach = _GEAR_RADIUS + 3
    shapes: list[Shape] = [
        Line(x - reach, y, x + reach, y, "chain"),
        Line(x, y - reach, x, y + reach, "chain"),
        Circle(x, y, _GEAR_RADIUS, line="thick"),
        Circle(x, y, _JOURNAL_RADIUS, fill="paper"),
    ]
    if train.rotation in ("clockwise", "counter_clockwise"):
        middle, gap = _widest_gap(tuple(pinion_angles(train).values()))
        sweep = min(60.0, gap / 2) * (1 if train.rotation == "clockwise" else -1)
        radius = _GEAR_RADIUS - 4.5
        shapes.append(Arc(x, y, radius, middle - sweep / 2, sweep))
        ux, uy = direction(middle + sweep / 2)
        heading = middle + sweep / 2 + (90 if sweep > 0 else -90)
        shapes.append(arrow_head(x + ux * radius, y + uy * radius, heading))
    shapes += _probes(train, BULL_GEAR, x, y, _JOURNAL_RADIUS + 0.5, 7.0, occupied)
    return Group(BULL_GEAR, "Bull gear", tuple(shapes))


def _widest_gap(angles: tuple[float, ...]) -> tuple[float, float]:
    """Return the middle and the width of the widest angle without a pinion."""
    if not angles:
        return 180.0, 360.0
    ordered = sorted(angle % 360 for angle in angles)
    gaps = [
        ((after - before) % 360 or 360.0, before)
        for before, after in zip(ordered, [*ordered[1:], ordered[0]], strict=True)
    ]
    width, before = max(gaps)
    return (before + width / 2) % 360, width


def _pinion(train: Train, placed: _Placed, centre: tuple[float, float], occupied: Occupied) -> Group:
    x, y = placed.x, placed.y
    shapes: list[Shape] = [
        Line(centre[0], centre[1], x, y, "chain"),
        Circle(x, y, placed.ring_radius, fill="paper"),
        Circle(x, y, placed.pitch_radius, fill="hatch", line="thick"),
    ]
    length = placed.ring_radius - placed.pitch_radius - 4.4
    if length > 2:
        shapes += _probes(train, placed.name, x, y, placed.pitch_radius + 0.6, length, occupied)
    return Group(placed.name, f"Pinion {placed.name}", tuple(shapes))


def _probes(
    train: Train, shaft: str, x: float, y: float, start: float, length: float, occupied: Occupied
) -> list[Shape]:
    shapes: list[Shape] = []
    for letter, angle in _directions(train, shaft):
        ux, uy = direction(angle)
        shapes += probe(x + ux * start, y + uy * start, angle, length)
        end = start + length
        candidates = [
            Text(x + ux * r + across * uy, y + uy * r - across * ux + 1.0, letter, 2.7, "middle")
            for r, across in (((end + 1.8, 0.0),) if shaft != BULL_GEAR else ())
            + ((end - 1.5, 2.1), (end - 1.5, -2.1))
        ]
        text = occupied.first_free(candidates)
        if text is not None:
            shapes.append(text)
    return shapes


def _columns(placed: list[_Placed]) -> tuple[list[_Placed], list[_Placed]]:
    """Share the labels between the left and the right of the view (gear axis at x = 0)."""
    columns: tuple[list[_Placed], list[_Placed]] = ([], [])
    for one in placed:
        upright = abs(one.x) <= 0.5
        right = len(columns[1]) <= len(columns[0]) if upright else one.x > 0
        columns[1 if right else 0].append(one)
    emptier = columns[0] if len(columns[0]) <= len(columns[1]) else columns[1]
    emptier.append(_Placed(BULL_GEAR, 0.0, 0.0, _GEAR_RADIUS, _GEAR_RADIUS))
    return columns


def _label_height(train: Train, one: _Placed) -> float:
    return len(_facts(train, one.name)) * _LINE_HEIGHT + 2.5


def _labels(
    train: Train,
    members: list[_Placed],
    rings: list[_Placed],
    left: float,
    room: tuple[float, float],
    *,
    right_side: bool,
) -> list[Group]:
    ordered = sorted(members, key=lambda one: (_wanted_y(one), one.name))
    heights = [_label_height(train, one) for one in ordered]
    middles = spread([_wanted_y(one) for one in ordered], heights, *room)
    return [
        _label(one, _facts(train, one.name), middle, left, right_side, rings)
        for one, middle in zip(ordered, middles, strict=True)
    ]


def _wanted_y(one: _Placed) -> float:
    return one.y + (_GEAR_RADIUS * 0.75 if one.name == BULL_GEAR else 0.0)


def _label(
    one: _Placed, lines: tuple[str, ...], middle: float, left: float, right_side: bool, rings: list[_Placed]
) -> Group:
    x = left + WIDTH - _LABEL_WIDTH if right_side else left
    edge = x - 0.8 if right_side else x + _LABEL_WIDTH + 0.8
    first = middle - (len(lines) - 1) * _LINE_HEIGHT / 2
    anchor = _edge_point(one, (edge, middle), [ring for ring in rings if ring.name != one.name])
    shapes: list[Shape] = [leader((edge, middle), anchor), Circle(*anchor, 0.35, fill="ink", line="none")]
    shapes.append(Line(edge, first - 2.2, edge, first + (len(lines) - 1) * _LINE_HEIGHT + 1.2, "hair"))
    for number, line in enumerate(lines):
        weight: Weight = "bold" if number == 0 else "normal"
        text = shortened(line, _TEXT, _LABEL_WIDTH - 1, bold=number == 0)
        at = x + 1 if right_side else x + _LABEL_WIDTH - 1
        shapes.append(
            Text(
                at,
                first + number * _LINE_HEIGHT + 1.0,
                text,
                _TEXT,
                "start" if right_side else "end",
                weight,
            )
        )
    return Group(one.name, ", ".join(lines), tuple(shapes))


def _edge_point(one: _Placed, towards: tuple[float, float], rings: list[_Placed]) -> tuple[float, float]:
    """Return the point of the rim nearest the label whose leader crosses no other ring, if there is one."""
    rim = []
    for step in range(72):
        ux, uy = direction(step * 5.0)
        rim.append((one.x + ux * one.ring_radius, one.y + uy * one.ring_radius))
    clear = [
        point for point in rim if all(_distance(ring, point, towards) >= ring.ring_radius for ring in rings)
    ]
    return min(clear or rim, key=lambda point: hypot(point[0] - towards[0], point[1] - towards[1]))


def _distance(ring: _Placed, start: tuple[float, float], end: tuple[float, float]) -> float:
    """Return the distance of a ring's centre from a stretch of line."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    along = ((ring.x - start[0]) * dx + (ring.y - start[1]) * dy) / (dx * dx + dy * dy or 1.0)
    along = min(max(along, 0.0), 1.0)
    return hypot(start[0] + along * dx - ring.x, start[1] + along * dy - ring.y)


def _facts(train: Train, shaft: str) -> tuple[str, ...]:
    line = train.shaft(shaft)
    if line is None:
        return (shaft,)
    if shaft == BULL_GEAR:
        turning = {"clockwise": "clockwise", "counter_clockwise": "counter-clockwise"}
        return ("Bull gear BG", speed_text(line), turning.get(train.rotation or "", "rotation not given"))
    pinion = train.pinion(shaft)
    facts = [f"{shaft}, {line.maker_name}" if line.maker_name else shaft, speed_text(line)]
    if pinion is not None and pinion.position_angle_deg is not None:
        facts.append("at " + with_unit(pinion.position_angle_deg, "deg"))
    else:
        facts.append("angle not given")
    probes = [f"{letter} {with_unit(angle, 'deg')}" for letter, angle in _directions(train, shaft)]
    if probes:
        facts.append("probes " + ", ".join(probes))
    return tuple(facts)
