"""Points and their setpoints, one line a group of points that measure one thing together."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from specapp.documents.wording import NONE, measure, number, pair, words
from specapp.domain.proposal import Point, Proposal, Range, Setpoint, Setpoints
from specapp.projects.presenting.figures import Display, setting, span
from specapp.projects.presenting.why import trace_ref


@dataclass(frozen=True, slots=True)
class PointLine:
    """The points of one voting group: where, what, with what, in which range."""

    group: str
    quantity: str
    tags: tuple[tuple[str, str, str], ...]  # key, tag, direction or letter
    stage: str
    transducer: str
    band: str
    range: str
    chain: str
    place: str
    marking: str
    why: str


@dataclass(frozen=True, slots=True)
class Level:
    """An alarm or a trip as shown."""

    value: str
    own: str  # the setting in the machine's units where a converted value is shown
    delay: str
    governed_by: str
    status: str
    voting: str
    current: str
    volts: str
    why: str

    @property
    def is_held(self) -> bool:
        return self.status == "hold"


@dataclass(frozen=True, slots=True)
class SetpointLine:
    """The setpoints of one voting group, or of one point where the points of a group differ."""

    group: str
    quantity: str
    tags: tuple[tuple[str, str, str], ...]
    range: str
    alarm: Level | None
    trip: Level | None
    multiplier: str

    @property
    def outputs(self) -> list[str]:
        """The transmitter currents and gap voltages at alarm and trip, where there are any."""
        levels = (("alarm", self.alarm), ("trip", self.trip))
        return [
            f"{name} {text} {unit}"
            for name, level in levels
            if level is not None
            for text, unit in ((level.current, "mA"), (level.volts, "V"))
            if text
        ]

    @property
    def needs_you(self) -> bool:
        return any(
            level is not None and level.status in ("hold", "placeholder") for level in (self.alarm, self.trip)
        )


@dataclass(frozen=True, slots=True)
class Shaft:
    """The lines of one shaft under one heading."""

    name: str
    title: str
    lines: tuple[PointLine, ...] | tuple[SetpointLine, ...]


def _tags(points: Iterable[Point]) -> tuple[tuple[str, str, str], ...]:
    return tuple((point.key, point.tag, point.direction or point.key.rsplit("/", 1)[-1]) for point in points)


def _grouped(points: Iterable[Point]) -> list[list[Point]]:
    found: dict[str, list[Point]] = {}
    for point in points:
        found.setdefault(point.voting_group, []).append(point)
    return list(found.values())


def _titles(proposal: Proposal, display: Display) -> dict[str, str]:
    titles = {}
    for shaft in proposal.shafts:
        parts = [words(shaft.kind), f"maker's name {shaft.maker_name}" if shaft.maker_name else ""]
        if shaft.speed is not None:
            parts.append(measure(shaft.speed))
        if shaft.stages:
            parts.append(f"stage{'s' if len(shaft.stages) > 1 else ''} {', '.join(map(str, shaft.stages))}")
        titles[shaft.name] = ", ".join(part for part in parts if part)
    return titles


def point_lines(proposal: Proposal, display: Display) -> list[Shaft]:
    """Return the points by shaft, a line a group."""
    titles = _titles(proposal, display)
    return [
        Shaft(name, titles.get(name, ""), tuple(_point_line(group, display) for group in _grouped(points)))
        for name, points in groupby(proposal.points, key=lambda point: point.shaft)
    ]


def _point_line(points: list[Point], display: Display) -> PointLine:
    first = points[0]
    transducer = first.transducer
    ranges = [span(first.range, display, axial=first.quantity == "axial_position")]
    ranges += [f"{words(item.quantity)} {span(item.range, display)}" for item in first.further_readings]
    sizes = [measure(size) for size in (transducer.tip, transducer.system_length) if size is not None]
    return PointLine(
        group=first.voting_group,
        quantity=words(first.quantity),
        tags=_tags(points),
        stage=", ".join(dict.fromkeys(str(point.stage) for point in points if point.stage is not None)),
        transducer=", ".join([words(transducer.type), *sizes]),
        band=transducer.band or "",
        range="; ".join(text for text in ranges if text != NONE) or NONE,
        chain=words(first.chain),
        place=words(first.installation.location),
        marking=first.installation.required_marking or "",
        why=first.key,
    )


def setpoint_lines(proposal: Proposal, display: Display, *, only_needs: bool) -> list[Shaft]:
    """Return the setpoints by shaft; with `only_needs` those on hold or still placeholders."""
    titles = _titles(proposal, display)
    shafts = []
    for name, points in groupby(proposal.points, key=lambda point: point.shaft):
        lines = [line for group in _grouped(points) for line in _setpoint_lines(group, display)]
        kept = [line for line in lines if line.needs_you or not only_needs]
        if kept:
            shafts.append(Shaft(name, titles.get(name, ""), tuple(kept)))
    return shafts


def _setpoint_lines(points: list[Point], display: Display) -> list[SetpointLine]:
    same = all(point.setpoints == points[0].setpoints and point.range == points[0].range for point in points)
    lines = []
    for together in [points] if same else [[point] for point in points]:
        first = together[0]
        line = _line(together, words(first.quantity), first.range, first.setpoints, display)
        if line is not None:
            lines.append(line)
        for reading in first.further_readings:
            line = _line(together, words(reading.quantity), reading.range, reading.setpoints, display)
            if line is not None:
                lines.append(line)
    return lines


def _line(
    points: list[Point], quantity: str, own_range: Range | None, setpoints: Setpoints, display: Display
) -> SetpointLine | None:
    if setpoints.alarm is None and setpoints.trip is None:
        return None
    first = points[0]
    axial = first.quantity == "axial_position"
    detection = own_range.detection if own_range else ""
    multiplier = first.multiplier
    return SetpointLine(
        group=first.voting_group if len(points) > 1 else first.key,
        quantity=quantity,
        tags=_tags(points),
        range=span(own_range, display, axial=axial),
        alarm=level(setpoints.alarm, display, detection=detection, axial=axial),
        trip=level(setpoints.trip, display, detection=detection, axial=axial),
        multiplier=f"× {number(multiplier.factor)} while {words(multiplier.armed_by)}" if multiplier else "",
    )


def level(item: Setpoint | None, display: Display, *, detection: str, axial: bool) -> Level | None:
    """Return an alarm or a trip as shown."""
    if item is None:
        return None
    shown = setting(item, display, detection=detection, axial=axial)
    own = setting(item, None, detection=detection, axial=axial)
    return Level(
        value=shown,
        own=own if own != shown else "",
        delay=measure(item.delay),
        governed_by=item.governed_by,
        status=item.status,
        voting=words(item.voting) if item.voting else "",
        current=pair(item.milliamps, item.milliamps_low, 2),
        volts=pair(item.volts, item.volts_low, 2),
        why=trace_ref(item.trace),
    )
