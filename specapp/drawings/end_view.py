"""The gear unit seen from the driver's outer end: bull gear, pinions at their angles, probe directions."""

from __future__ import annotations

from math import hypot

from specapp.drawings import end_labels
from specapp.drawings.leaders import Disc
from specapp.drawings.placing import Occupied
from specapp.drawings.scene import Arc, Circle, Group, Line, Shape, Text
from specapp.drawings.symbols import arrow_head, direction, probe
from specapp.drawings.text_extent import text_box
from specapp.drawings.train import BULL_GEAR, Train, probe_directions

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
_REACH = _GEAR_RADIUS + 4 + _WHEEL_RADIUS + 5
WIDTH = 2 * (_REACH + end_labels.WIDTH)


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
    placed = _placed(train)
    outline = Disc(BULL_GEAR, 0.0, 0.0, _GEAR_RADIUS)
    labels = end_labels.arranged(train, outline, [disc for disc, _ in placed], _REACH)
    centre = (left + WIDTH / 2, top + labels.above)
    bottom = centre[1] + labels.below
    beside = end_labels.drawn(train, labels, centre)
    occupied = Occupied(left + WIDTH, bottom)
    for group in beside:
        for part in group.shapes:
            if isinstance(part, Text):
                occupied.take(text_box(part))
    gear = _bull_gear(train, *centre, occupied)
    pinions = [_pinion(train, disc, pitch_radius, centre, occupied) for disc, pitch_radius in placed]
    return (gear, *pinions, *beside), bottom


def _placed(train: Train) -> list[tuple[Disc, float]]:
    """Return the wheel outline of each pinion about the bull gear's axis at (0, 0), and its pitch radius."""
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
        placed.append((Disc(name, x, y, ring), radius))
    return placed


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


def _pinion(
    train: Train, disc: Disc, pitch_radius: float, centre: tuple[float, float], occupied: Occupied
) -> Group:
    x, y = centre[0] + disc.x, centre[1] + disc.y
    shapes: list[Shape] = [
        Line(centre[0], centre[1], x, y, "chain"),
        Circle(x, y, disc.radius, fill="paper"),
        Circle(x, y, pitch_radius, fill="hatch", line="thick"),
    ]
    length = disc.radius - pitch_radius - 4.4
    if length > 2:
        shapes += _probes(train, disc.name, x, y, pitch_radius + 0.6, length, occupied)
    return Group(disc.name, f"Pinion {disc.name}", tuple(shapes))


def _probes(
    train: Train, shaft: str, x: float, y: float, start: float, length: float, occupied: Occupied
) -> list[Shape]:
    shapes: list[Shape] = []
    for letter, angle in probe_directions(train, shaft):
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
