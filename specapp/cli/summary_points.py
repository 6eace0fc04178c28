"""The points of a proposal as lines of a terminal: one a bearing, then casing, metal and the rest."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from specapp.domain.display import number_text, other_unit
from specapp.domain.proposal import Point, Proposal, Setpoint, Setpoints
from specapp.kernel.units import UNITS, convert

_PLACE = 11
# Least widths of a line's columns, gap included; converted values need more than this.
_LEAST = (_PLACE, 4, 30, 21, 0)
_DETECTION = {"pp": " p-p", "rms": " r.m.s.", "peak": " peak"}
_SEVERAL = {
    "phase_reference": "phase reference",
    "overspeed": "overspeed",
    "speed": "speed",
    "winding_temperature": "winding temperature",
}
_NONE = "–"

Groups = list[list[Point]]
Line = tuple[str, str, str, str, str]


def point_lines(proposal: Proposal, display: str | None) -> list[str]:
    """Return the shafts, a heading, a line for each bearing that has probes, then all other points."""
    points = proposal.points
    metal = {_metal_place(group[0]): group[0] for group in _groups(points, "bearing_temperature")}
    lines: list[Line] = [("", "", "alarm/trip", "governed by", "metal alarm/trip")]
    alone: Groups = []
    for group in (*_groups(points, "radial_vibration"), *_groups(points, "axial_position")):
        first = group[0]
        axial = first.quantity == "axial_position"
        hot = metal.pop(f"{first.shaft} thrust" if axial else str(first.bearing or first.shaft), None)
        if axial and hot is None:
            alone.append(group)
            continue
        place = f"{first.shaft} axial" if axial else _bearing(first)
        lines.append(_group_line(place, group, display, "" if hot is None else _metal(hot, display)))
    lines += _alike("axial", alone, display)
    lines += _alike("casing", _groups(points, "casing_vibration"), display)
    lines += _alike("metal", [[point] for point in metal.values()], display)
    return [_shafts(proposal), *_columns(lines), *_several(points)]


def values_text(setpoints: Setpoints, display: str | None, detection: str = "", axial: bool = False) -> str:
    """Return alarm and trip with their unit, and beside them what a reader of other units expects."""
    told = [each for each in (setpoints.alarm, setpoints.trip) if each is not None and each.value is not None]
    if not told:
        return _NONE
    unit = told[0].unit
    text = f"{_pair(setpoints, _number)} {_symbol(unit)}{_DETECTION.get(detection, '')}"
    target = other_unit(unit, display, "mil" if axial else "")
    if target is None:
        return text
    target = "mm" if axial and target == "um" else target
    digits = None if target in ("degC", "degF") else (2 if target == "mm" else 3)
    other = _pair(setpoints, lambda value: _number(convert(value, unit, target), digits))
    return f"{text} (= {other} {_symbol(target)})"


def _number(value: float, digits: int | None = None) -> str:
    return number_text(value, digits=digits, separator=" ")


def _pair(setpoints: Setpoints, written: Callable[[float], str]) -> str:
    alarm, trip = _side(setpoints.alarm, written), _side(setpoints.trip, written)
    return f"{alarm}/{trip.removeprefix('±') if alarm.startswith('±') else trip}"


def _side(setpoint: Setpoint | None, written: Callable[[float], str]) -> str:
    if setpoint is None or setpoint.value is None:
        return _NONE
    if setpoint.low is None:
        return written(setpoint.value)
    if setpoint.low == -setpoint.value:
        return f"±{written(setpoint.value)}"
    return f"{written(setpoint.low)}…{written(setpoint.value)}"


def _symbol(unit: str) -> str:
    return UNITS[unit].symbol if unit in UNITS else unit


def _shafts(proposal: Proposal) -> str:
    speeds = [
        f"{shaft.name} {_number(shaft.speed.value, 6)}"
        for shaft in proposal.shafts
        if shaft.speed is not None
    ]
    return f"{'r/min':<{_PLACE}}{' · '.join(speeds)}"


def _columns(lines: list[Line]) -> list[str]:
    widths = [
        max(least, *(len(cell) + 1 for cell in column))
        for least, column in zip(_LEAST, zip(*lines, strict=True), strict=True)
    ]
    return ["".join(f"{cell:<{width}}" for cell, width in zip(line, widths, strict=True)) for line in lines]


def _group_line(place: str, group: list[Point], display: str | None, last: str) -> Line:
    point = group[0]
    setpoints = point.setpoints
    detection = point.range.detection if point.range else ""
    values = values_text(setpoints, display, detection, point.quantity == "axial_position")
    voting = setpoints.trip.voting if setpoints.trip else None
    told = {each.status for each in (setpoints.alarm, setpoints.trip) if each is not None}
    # A held setting is not released to anybody: the word stands before the numbers.
    marked = " ".join(filter(None, ("HOLD" if "hold" in told else "", values, voting)))
    waiting = "placeholder" if "placeholder" in told else ""
    return place, _suffixes(group), marked, _governed(setpoints), ", ".join(filter(None, (waiting, last)))


def _bearing(point: Point) -> str:
    stage = f" st {point.stage}" if point.stage is not None else ""
    return f"{point.bearing or point.shaft}{stage}"


def _suffixes(group: list[Point]) -> str:
    vibration = group[0].quantity in ("radial_vibration", "axial_position")
    return " ".join(point.direction or point.key.rpartition("/")[2] for point in group) if vibration else ""


def _governed(setpoints: Setpoints) -> str:
    told = [_short(each.governed_by) for each in (setpoints.alarm, setpoints.trip) if each is not None]
    return "/".join(dict.fromkeys(told))


def _short(key: str) -> str:
    family, _, name = key.rpartition(".")
    if family == "motor":
        return "motor, fixed"
    for prefix in ("alarm_", "trip_", "minimum_"):
        name = name.removeprefix(prefix)
    return name.replace("_", " ")


def _metal_place(point: Point) -> str:
    return f"{point.shaft} thrust" if "/thrust/" in point.key else str(point.bearing or point.shaft)


def _metal(point: Point, display: str | None) -> str:
    """Return alarm and trip of a bearing's metal, close enough to share the line of its probes."""
    return values_text(point.setpoints, display).replace(" (= ", " = ").rstrip(")")


def _alike(word: str, groups: Groups, display: str | None) -> list[Line]:
    """Return a line for each set of places whose settings are the same, the places at its end."""
    places: dict[Line, list[str]] = {}
    for group in groups:
        place = _metal_place(group[0]) if word == "metal" else str(group[0].bearing or group[0].shaft)
        places.setdefault(_group_line(word, group, display, ""), []).append(place)
    return [
        (*line[:4], ", ".join(filter(None, (" ".join(names), line[4])))) for line, names in places.items()
    ]


def _several(points: Iterable[Point]) -> list[str]:
    counts: Mapping[str, list[Point]] = {quantity: [] for quantity in _SEVERAL}
    for point in points:
        if point.quantity in counts:
            counts[point.quantity].append(point)
    words = [
        f"{_SEVERAL[quantity]} {' '.join(dict.fromkeys(p.shaft for p in found))}"
        + (f" ×{len(found)}" if quantity not in ("phase_reference", "speed") else "")
        for quantity, found in counts.items()
        if found
    ]
    return [f"{'also':<{_PLACE}}{' · '.join(words)}"] if words else []


def _groups(points: Iterable[Point], quantity: str) -> Groups:
    groups: dict[str, list[Point]] = {}
    for point in points:
        if point.quantity == quantity:
            groups.setdefault(point.voting_group, []).append(point)
    return list(groups.values())
