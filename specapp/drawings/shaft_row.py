"""One shaft seen from the side: wheels, bearings, gear, transducers and their balloons."""

from __future__ import annotations

from dataclasses import dataclass

from specapp.drawings.placing import spread, tiers
from specapp.drawings.scene import Group, Line, LineKind, Polyline, Rect, Shape, Text
from specapp.drawings.symbols import BALLOON_PITCH, BALLOON_RADIUS, balloon, block_sensor, element, probe
from specapp.drawings.text_extent import wrapped
from specapp.drawings.train import BULL_GEAR, DRIVER, Position, Train, driver_words

# Distances along the shaft from the gear (or from the middle of the driver), mm on the sheet.
BEARING = 20.0
RADIAL = 25.5
WHEEL = 36.0
THRUST = 11.0
SIDE_LENGTH = 44.0
DRIVER_BODY = 13.0
DRIVER_BEARING = 18.0
DRIVER_LENGTH = 27.0
DRIVER_OFFSET = 67.0
COUPLING = 36.5
# Heights above and below the axis.
GEAR_HALF = 11.0
_SYMBOL_REACH = 10.0
_LEADER = 3.5


@dataclass(frozen=True, slots=True)
class Row:
    shapes: tuple[Shape, ...]
    axis_y: float
    bottom: float


@dataclass(frozen=True, slots=True)
class _Anchored:
    position: Position
    x: float
    y: float
    symbols: tuple[Shape, ...]


def row_extent(train: Train, shafts: tuple[str, ...], width: float) -> tuple[float, float]:
    """Return the room a row needs above and below its axis."""
    positions = train.at(*shafts)
    above = sum(_is_above(position) for position in positions)
    heights = []
    for count in (above, len(positions) - above):
        rows = tiers(count, BALLOON_PITCH, width)
        reach = _SYMBOL_REACH + 2.0
        heights.append(reach if rows == 0 else reach + _LEADER + rows * BALLOON_PITCH)
    return heights[0], heights[1]


def shaft_row(
    train: Train,
    shaft: str,
    *,
    gear_x: float,
    top: float,
    left: float,
    right: float,
    with_driver: bool = False,
) -> Row:
    """Return a shaft drawn about ``gear_x``, its balloons between ``left`` and ``right``."""
    shafts = (shaft, DRIVER) if with_driver else (shaft,)
    above, below = row_extent(train, shafts, right - left)
    y = top + above
    shapes: list[Shape] = []
    anchored: list[_Anchored] = []
    if shaft == DRIVER:
        shapes += _driver(train, gear_x, y)
        anchored += [_driver_anchor(position, gear_x, y) for position in train.at(DRIVER)]
    else:
        if with_driver:
            driver_x = gear_x - DRIVER_OFFSET
            shapes += _driver(train, driver_x, y)
            shapes += _coupling(gear_x - COUPLING, y)
            anchored += [_driver_anchor(position, driver_x, y) for position in train.at(DRIVER)]
        shapes.append(_rotor(train, shaft, gear_x, y, coupled=with_driver))
        anchored += [_shaft_anchor(position, shaft, gear_x, y) for position in train.at(shaft)]
    for one in anchored:
        shapes += one.symbols
    for upward in (True, False):
        side = [one for one in anchored if _is_above(one.position) == upward]
        shapes += _balloons(side, y, left, right, upward)
    return Row(tuple(shapes), y, y + below)


def _is_above(position: Position) -> bool:
    return position.quantity not in ("bearing_temperature", "winding_temperature", "speed", "overspeed")


def _balloons(side: list[_Anchored], y: float, left: float, right: float, upward: bool) -> list[Group]:
    ordered = sorted(side, key=lambda one: (one.x, one.position.number))
    rows = tiers(len(ordered), BALLOON_PITCH, right - left)
    sign = -1.0 if upward else 1.0
    groups: list[Group] = []
    for tier in range(rows):
        members = ordered[tier::rows]
        xs = spread([one.x for one in members], [BALLOON_PITCH] * len(members), left, right)
        at = y + sign * (_SYMBOL_REACH + _LEADER + BALLOON_RADIUS + tier * BALLOON_PITCH)
        for one, x in zip(members, xs, strict=True):
            shapes = balloon(one.position.number, x, at, (one.x, one.y))
            groups.append(Group(one.position.key, one.position.label, shapes))
    return groups


def _bearing(x: float, y: float, half: float) -> list[Shape]:
    return [
        Rect(x - 2.6, y - half - 2.4, 5.2, 2.4, fill="hatch"),
        Rect(x - 2.6, y + half, 5.2, 2.4, fill="hatch"),
    ]


def _rotor(train: Train, shaft: str, x: float, y: float, *, coupled: bool) -> Group:
    line = train.shaft(shaft)
    pinion = train.pinion(shaft)
    sides = pinion.stage_on_side if pinion else {}
    half = 2.2 if shaft == BULL_GEAR else 1.6
    start = x - (COUPLING - 1.5 if coupled else WHEEL if 1 in sides else BEARING + 9)
    end = x + (WHEEL if 2 in sides else BEARING + 19 if shaft == BULL_GEAR else BEARING + 9)
    shapes: list[Shape] = [
        Line(start - 6, y, end + 6, y, "chain"),
        Rect(start, y - half, end - start, 2 * half, fill="paper"),
    ]
    shapes += _bearing(x - BEARING, y, half) + _bearing(x + BEARING, y, half)
    if shaft == BULL_GEAR:
        shapes.append(Rect(x - 5, y - GEAR_HALF, 10, 2 * GEAR_HALF, fill="paper", line="thick"))
        shapes.append(Rect(x + 35.2, y - 5, 1.6, 10, fill="paper"))
    else:
        shapes.append(Rect(x - 6, y - 3, 12, 6, fill="hatch", line="thick"))
        collars = (-1, 1) if pinion and pinion.located_by == "thrust_collar" else ()
        shapes += [Rect(x + side * 7.2 - 0.6, y - 4.6, 1.2, 9.2, fill="paper") for side in collars]
        if pinion and pinion.located_by == "thrust_bearing":
            shapes.append(Rect(x - THRUST - 0.6, y - 4.6, 1.2, 9.2, fill="paper"))
    label = f"Shaft {shaft}"
    for side, stage in sorted(sides.items()):
        expander = pinion is not None and stage in pinion.expander_stages
        shapes += _wheel(x + (-WHEEL if side == 1 else WHEEL), y, stage, outward=side == 2, expander=expander)
        label += f", stage {stage} on side {side}" + (" (expander)" if expander else "")
    if line is not None and line.maker_name:
        label += f", maker's name {line.maker_name}"
    return Group(shaft, label, tuple(shapes))


def _wheel(x: float, y: float, stage: int, *, outward: bool, expander: bool) -> list[Shape]:
    """A wheel with its eye to the outside of the casing; an expander is told by a double back plate."""
    facing = 1.0 if outward else -1.0
    back, eye = x - facing * 3.4, x + facing * 3.4
    corners = ((back, y - 8.0), (eye, y - 3.6), (eye, y + 3.6), (back, y + 8.0))
    shapes: list[Shape] = [Polyline(corners, closed=True, fill="paper")]
    if expander:
        shapes.append(Line(back - facing * 1.2, y - 8.0, back - facing * 1.2, y + 8.0))
    shapes.append(Text(x - facing * 0.3, y + 1.1, str(stage), 3.0, "middle"))
    return shapes


def _coupling(x: float, y: float) -> list[Shape]:
    return [
        Rect(x - 2.4, y - 4, 2.0, 8, fill="paper"),
        Rect(x + 0.4, y - 4, 2.0, 8, fill="paper"),
        Line(x - 0.4, y, x + 0.4, y),
    ]


def _driver(train: Train, x: float, y: float) -> list[Shape]:
    kind = train.driver_kind
    words = driver_words(kind)
    shapes: list[Shape] = [Line(x - DRIVER_LENGTH - 7, y, x + DRIVER_LENGTH + 5, y, "chain")]
    if kind:
        end = DRIVER_LENGTH + (DRIVER_OFFSET - COUPLING - DRIVER_LENGTH - 2.4)
        shapes.append(Rect(x - 32, y - 2.0, 32 + end, 4.0, fill="paper"))
        shapes += _bearing(x - DRIVER_BEARING, y, 2.0) + _bearing(x + DRIVER_BEARING, y, 2.0)
    outline: LineKind = "thin" if kind else "dash"
    shapes.append(Rect(x - DRIVER_BODY, y - 8.5, 2 * DRIVER_BODY, 17, fill="paper", line=outline))
    lines = wrapped(words, 2.7, 2 * DRIVER_BODY - 1)
    first = y + 1.0 - (len(lines) - 1) * 1.7
    shapes += [Text(x, first + n * 3.4, text, 2.7, "middle") for n, text in enumerate(lines)]
    return [Group(DRIVER, f"Driver: {words}", tuple(shapes))]


def _symbol_groups(position: Position, symbols: list[tuple[Shape, ...]]) -> tuple[Shape, ...]:
    return tuple(
        Group(point.key, f"{point.tag}: {point.title}", shapes)
        for point, shapes in zip(position.points, symbols, strict=True)
    )


def _yoke(x: float, y: float, count: int) -> tuple[Shape, ...]:
    """Join the outer ends of a set of probes, so that one leader can point at them all."""
    half = (count - 1) * 1.0
    return (Line(x - half, y, x + half, y),) if count > 1 else ()


def _offsets(count: int, step: float) -> list[float]:
    return [(index - (count - 1) / 2) * step for index in range(count)]


def _side(position: Position) -> float:
    """-1 for the end that faces the driver (bearing 1), +1 for the other."""
    return 1.0 if (position.bearing or "").endswith("2") else -1.0


def _shaft_anchor(position: Position, shaft: str, gear_x: float, y: float) -> _Anchored:
    half = 2.2 if shaft == BULL_GEAR else 1.6
    side = _side(position)
    outboard = side * (RADIAL + (1.5 if shaft == BULL_GEAR and side > 0 else 0.0))
    thrust = gear_x + (36.0 if shaft == BULL_GEAR else -THRUST)
    return _anchor(position, y, half, gear_x + side * BEARING, gear_x + outboard, thrust, gear_x + 12.5)


def _driver_anchor(position: Position, x: float, y: float) -> _Anchored:
    side = _side(position)
    bearing = x + side * DRIVER_BEARING
    axial = position.quantity == "axial_position"
    thrust = x - (30.0 if axial else 9.0)
    toothed = x + (-29.0 if position.quantity == "overspeed" else 26.2)
    return _anchor(position, y, 2.0, bearing, bearing + side * 4.4, thrust, toothed, body=x)


def _anchor(
    position: Position,
    y: float,
    half: float,
    bearing_x: float,
    radial_x: float,
    thrust_x: float,
    wheel_x: float,
    body: float | None = None,
) -> _Anchored:
    """Place the symbols of one position; ``wheel_x`` is where toothed wheels and phase marks sit."""
    count = len(position.points)
    quantity = position.quantity
    if quantity in ("radial_vibration", "axial_position", "phase_reference"):
        x = {"radial_vibration": radial_x, "axial_position": thrust_x - 1.9}.get(quantity, wheel_x)
        base = y - half - 0.5
        symbols = [probe(x + dx, base, 0.0, 6.4) for dx in _offsets(count, 2.0)]
        return _Anchored(
            position, x, base - 6.4, (*_symbol_groups(position, symbols), *_yoke(x, base - 6.4, count))
        )
    if quantity == "casing_vibration":
        top = y - half - 2.4
        symbols = [block_sensor(bearing_x + dx, top) for dx in _offsets(count, 2.6)]
        return _Anchored(position, bearing_x, top - 2.6, _symbol_groups(position, symbols))
    if quantity in ("speed", "overspeed"):
        x = wheel_x
        base = y + half + 0.5
        symbols = [probe(x + dx, base, 180.0, 6.4) for dx in _offsets(count, 2.0)]
        return _Anchored(
            position, x, base + 6.4, (*_symbol_groups(position, symbols), *_yoke(x, base + 6.4, count))
        )
    if "/thrust/" in position.key:
        x = thrust_x + (-1.9 if "/active" in position.key else 2.4)
        base = y + (3.4 if body is None else 6.6)
    elif quantity == "winding_temperature" and body is not None:
        x, base = body + 4.0, y + 6.6
    else:
        x, base = bearing_x, y + half + 1.2
    symbols = [element(x + dx, base) for dx in _offsets(count, 2.0)]
    return _Anchored(position, x, base + 0.95, _symbol_groups(position, symbols))
