"""One point: why it is there, its setpoints with every candidate, its chain, its checks."""

from dataclasses import dataclass

from specapp.documents.wording import NONE, measure, words
from specapp.domain.proposal import Check, Point, Proposal, Setpoint, Setpoints
from specapp.projects.presenting.figures import Display, figure, span
from specapp.projects.presenting.points import Level, level
from specapp.projects.presenting.why import ReasonLine, reason_line


@dataclass(frozen=True, slots=True)
class CandidateLine:
    """One way to reach a setpoint, and whether it is the one that governs."""

    criterion: str
    value: str
    needs: str
    governs: bool


@dataclass(frozen=True, slots=True)
class SetpointSheet:
    """An alarm or a trip with everything behind it."""

    title: str
    level: Level
    unrounded: str
    candidates: tuple[CandidateLine, ...]
    reasons: tuple[ReasonLine, ...]
    setpoint: Setpoint


_OF_PROBES = ("probe.", "radial.")


@dataclass(frozen=True, slots=True)
class PointSheet:
    """Everything about one point."""

    point: Point
    facts: tuple[tuple[str, str], ...]
    setpoints: tuple[SetpointSheet, ...]
    reasons: tuple[ReasonLine, ...]
    checks: tuple[Check, ...]
    supplied_by: tuple[tuple[str, str], ...]
    before: str
    after: str


def point_sheet(proposal: Proposal, key: str, display: Display) -> PointSheet | None:
    """Return the sheet of a point, or None where the proposal has no such point."""
    keys = [point.key for point in proposal.points]
    if key not in keys:
        return None
    place = keys.index(key)
    point = proposal.points[place]
    return PointSheet(
        point=point,
        facts=tuple((label, text) for label, text in _facts(point, display) if text not in ("", NONE)),
        setpoints=tuple(_all_setpoints(proposal, point, display)),
        reasons=tuple(map(reason_line, point.because)),
        checks=tuple(check for check in proposal.checks if _concerns(check, point)),
        supplied_by=tuple((words(link), words(owner)) for link, owner in point.supplied_by.items()),
        before=keys[place - 1] if place else "",
        after=keys[place + 1] if place + 1 < len(keys) else "",
    )


def _concerns(check: Check, point: Point) -> bool:
    """Tell whether a check is about a point: its own, or one of its shaft or bearing that it feels."""
    if check.subject in (point.key, point.voting_group):
        return True
    if check.subject not in (point.shaft, point.bearing):
        return False
    return point.transducer.type == "proximity_probe" or not check.check.startswith(_OF_PROBES)


def _facts(point: Point, display: Display) -> list[tuple[str, str]]:
    place, transducer = point.installation, point.transducer
    direction = point.direction or ""
    if point.angle is not None:
        direction = f"{direction} {measure(point.angle)} clockwise from the top, seen from the driver".strip()
    return [
        ("Quantity", words(point.quantity)),
        (
            "Tags by train",
            ", ".join(f"{train}: {tag}" for train, tag in point.tags.items()) if point.tags else "",
        ),
        ("Shaft", point.shaft),
        ("Bearing", point.bearing or ""),
        ("Stage", "" if point.stage is None else str(point.stage)),
        ("Direction", direction),
        ("Transducer", words(transducer.type)),
        ("Tip", measure(transducer.tip)),
        ("System length", measure(transducer.system_length)),
        ("Scale", transducer.scale or ""),
        ("Band", transducer.band or ""),
        ("Note", transducer.text),
        ("Range", span(point.range, display, axial=point.quantity == "axial_position")),
        ("Chain", words(point.chain)),
        ("Voting group", "" if point.voting_group == point.key else point.voting_group),
        ("Place", words(place.location)),
        ("Junction box", place.junction_box or ""),
        ("Oscillator frequency", place.frequency_group or ""),
        ("Equipment protection level", place.equipment_protection_level or ""),
        ("Required marking", place.required_marking or ""),
        ("Loaded direction", measure(place.loaded_direction)),
        *(("Installation", note) for note in place.notes),
    ]


def _all_setpoints(proposal: Proposal, point: Point, display: Display) -> list[SetpointSheet]:
    axial = point.quantity == "axial_position"
    detection = point.range.detection if point.range else ""
    sheets = _setpoints(proposal, "", point.setpoints, detection, axial, display)
    for reading in point.further_readings:
        own = reading.range.detection if reading.range else ""
        sheets += _setpoints(proposal, f"{words(reading.quantity)}, ", reading.setpoints, own, False, display)
    return sheets


def _setpoints(
    proposal: Proposal, prefix: str, setpoints: Setpoints, detection: str, axial: bool, display: Display
) -> list[SetpointSheet]:
    sheets = []
    for name, item in (("alarm", setpoints.alarm), ("trip", setpoints.trip)):
        shown = level(item, display, detection=detection, axial=axial)
        if item is None or shown is None:
            continue
        title = f"{prefix}{name}"
        candidates = tuple(
            CandidateLine(
                candidate.criterion,
                figure(candidate.value, candidate.unit, display, detection=detection, axial=axial),
                candidate.needs or "",
                candidate.criterion == item.governed_by,
            )
            for candidate in item.candidates
        )
        sheets.append(
            SetpointSheet(
                title=title[0].upper() + title[1:],
                level=shown,
                unrounded=figure(item.unrounded, item.unit, display, detection=detection, axial=axial),
                candidates=candidates,
                reasons=tuple(reason_line(proposal.trace[index]) for index in item.trace),
                setpoint=item,
            )
        )
    return sheets
