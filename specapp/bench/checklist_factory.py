"""The factory test: every channel, setpoint, delay, vote, fault, relay and supply."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from specapp.bench.checklist_items import ChecklistItem, done_item, number_item
from specapp.domain.display import number_text, with_unit
from specapp.domain.proposal import Point, Proposal, Relay, Setpoint
from specapp.kernel.voting import GROUP_VOTINGS, LegState, vote

__all__ = ["factory_items"]

_INDICATION_PERCENT: Final = 1.0
_RESPONSE_S: Final = 0.1
_EARLY_S: Final = 0.05
_LEGS: Final[Mapping[int, tuple[tuple[LegState, ...], ...]]] = {
    1: (("trip",), ("fault",)),
    2: (
        ("trip", "normal"),
        ("normal", "trip"),
        ("trip", "alarm"),
        ("trip", "trip"),
        ("trip", "fault"),
        ("normal", "fault"),
        ("fault", "fault"),
    ),
    3: (
        ("trip", "normal", "normal"),
        ("trip", "trip", "normal"),
        ("trip", "normal", "trip"),
        ("normal", "trip", "trip"),
        ("normal", "normal", "fault"),
        ("normal", "fault", "fault"),
    ),
}


def factory_items(proposal: Proposal) -> Iterator[ChecklistItem]:
    """Yield the items in the order of the work."""
    for point in proposal.points:
        yield from _channel(point)
    for key, points in _groups(proposal).items():
        yield from _votes(key, points)
    for key, points in _groups(proposal).items():
        yield from _multiplied(key, points)
    for relay in proposal.architecture.relays:
        yield from _relay(relay)
    yield from _supplies(proposal)
    for interface in proposal.architecture.interfaces:
        expected = f"{interface.text} ({interface.direction.replace('_', ' ')})"
        method = "Read every point over the link; try to write a setpoint over it."
        yield done_item("factory", "interfaces", interface.key, (), "link", method, expected, "proposal")


def _groups(proposal: Proposal) -> dict[str, list[Point]]:
    groups: dict[str, list[Point]] = {}
    for point in proposal.points:
        groups.setdefault(point.voting_group, []).append(point)
    return groups


def _channel(point: Point) -> Iterator[ChecklistItem]:
    tags = (point.tag,)
    span = point.range
    if span is not None:
        middle = (span.low.value + span.high.value) / 2
        allowed = _INDICATION_PERCENT / 100 * (span.high.value - span.low.value)
        unit = span.high.unit
        yield number_item(
            "factory",
            "channels",
            point.key,
            tags,
            "indication",
            f"Put in a simulated signal of {with_unit(middle, unit, detection=_detected(span.detection))}.",
            f"Reads within {_INDICATION_PERCENT:g} percent of the range.",
            middle - allowed,
            middle + allowed,
            unit,
            "common practice",
        )
    for name, setpoint in (("alarm", point.setpoints.alarm), ("trip", point.setpoints.trip)):
        if setpoint is not None and setpoint.value is not None:
            yield from _level(point, name, setpoint)
    answer = point.setpoints.trip.on_circuit_fault if point.setpoints.trip else None
    if point.quantity != "speed":
        for fault in ("open", "short"):
            yield done_item(
                "factory",
                "channels",
                point.key,
                tags,
                f"fault {fault}",
                f"Make the field circuit {fault}, then heal it.",
                f"Circuit fault announced; {answer or 'alarm, no trip'}.",
                "API 670 (from memory)",
            )


def _detected(detection: str) -> str:
    """Return the detection where it must be said; a mean value goes without saying."""
    return "" if detection == "mean" else detection


def _level(point: Point, name: str, setpoint: Setpoint) -> Iterator[ChecklistItem]:
    assert setpoint.value is not None
    tags, unit = (point.tag,), setpoint.unit
    sides = (
        [("", setpoint.value)]
        if setpoint.low is None
        else [(" high", setpoint.value), (" low", setpoint.low)]
    )
    span = point.range
    allowed = _INDICATION_PERCENT / 100 * (span.high.value - span.low.value if span else abs(setpoint.value))
    held = "" if setpoint.status == "proposed" else f" The setpoint is {setpoint.status}: settle it first."
    for side, value in sides:
        yield number_item(
            "factory",
            "channels",
            point.key,
            tags,
            f"{name}{side}",
            f"Move the simulated signal slowly past the {name}{side} and read where it acts.{held}",
            f"Acts at {with_unit(value, unit, detection=_detected(span.detection) if span else '')}.",
            value - allowed,
            value + allowed,
            unit,
            "proposal",
        )
    delay = setpoint.delay.value if setpoint.delay else 0.0
    yield number_item(
        "factory",
        "channels",
        point.key,
        tags,
        f"{name} delay",
        f"Step the simulated signal well past the {name}, time it to the contact.",
        f"Acts after {number_text(delay)} s, at most {_RESPONSE_S:g} s beyond its own detector.",
        max(0.0, delay - _EARLY_S),
        delay + _RESPONSE_S,
        "s",
        "common practice",
    )
    if delay > 0:
        yield done_item(
            "factory",
            "channels",
            point.key,
            tags,
            f"{name} shorter than the delay",
            f"Step past the {name} for {number_text(0.8 * delay)} s and back.",
            "Nothing acts.",
            "common practice",
        )


def _votes(key: str, points: list[Point]) -> Iterator[ChecklistItem]:
    trip = points[0].setpoints.trip
    if trip is None or trip.voting is None:
        return
    tags = tuple(point.tag for point in points)
    names = [point.direction or point.key.rpartition("/")[2] for point in points]
    if trip.voting not in GROUP_VOTINGS or len(points) != GROUP_VOTINGS[trip.voting][1]:
        for name in names:
            yield done_item(
                "factory",
                "votes",
                key,
                tags,
                f"vote {name}",
                f"{name} past its trip, the others normal.",
                f"By {trip.voting}: {'trip' if trip.voting.startswith('1oo') else 'no trip'}.",
                "proposal",
            )
        return
    answer = trip.on_circuit_fault or ""
    lost = 2 if "both faulted trip" in answer or "two faulted: trip" in answer else None
    for states in _LEGS[len(points)]:
        found = vote(trip.voting, states, lost)
        said = ", ".join(f"{name} {state}" for name, state in zip(names, states, strict=True))
        does = ["trip" if found.trip else "no trip", "alarm" if found.alarm else "no alarm"]
        does += ["circuit fault"] if found.circuit_fault else []
        yield done_item(
            "factory",
            "votes",
            key,
            tags,
            "vote " + "-".join(states),
            f"Bring the legs to: {said}.",
            f"By {trip.voting}: {', '.join(does)}.",
            "proposal",
        )
    yield done_item(
        "factory",
        "votes",
        key,
        tags,
        "bypass",
        "Bypass one leg, then bring the other past its trip.",
        "The bypass is announced and trips nothing by itself; what the other leg does agrees with the "
        "vote stated.",
        "common practice",
    )
    if trip.latched:
        yield done_item(
            "factory",
            "votes",
            key,
            tags,
            "latch",
            "Take the signal away after a trip, then reset.",
            "The trip stays until it is reset, and cannot be reset while it stands.",
            "proposal",
        )


def _multiplied(key: str, points: list[Point]) -> Iterator[ChecklistItem]:
    multiplier, trip = points[0].multiplier, points[0].setpoints.trip
    if multiplier is None or trip is None or trip.value is None:
        return
    tags = tuple(point.tag for point in points)
    raised = with_unit(multiplier.factor * trip.value, trip.unit)
    between = with_unit((1 + multiplier.factor) / 2 * trip.value, trip.unit)
    for name, method, expected in (
        (
            "armed",
            f"Arm it ({multiplier.armed_by}), put in {between}.",
            f"No trip; trips above {raised}. Announced.",
        ),
        ("not armed", f"Without arming put in {between}.", "Trips."),
        (
            "contact lost",
            f"Armed, put in {between}, open the start contact.",
            "Trips: the factor ends with it.",
        ),
    ):
        yield done_item("factory", "starting", key, tags, f"multiplier {name}", method, expected, "proposal")
    seconds = multiplier.time_out.value
    yield number_item(
        "factory",
        "starting",
        key,
        tags,
        "multiplier time-out",
        "Arm it and leave it armed.",
        f"Ends by itself after {number_text(seconds)} s.",
        seconds * 0.95,
        seconds * 1.05,
        "s",
        "proposal",
    )


def _relay(relay: Relay) -> Iterator[ChecklistItem]:
    drops = relay.normally == "energised"
    yield done_item(
        "factory",
        "relays",
        relay.key,
        (),
        "acts",
        f"Bring one of its causes: {', '.join(relay.causes[:3])}.",
        f"Normally {relay.normally}; {'drops' if drops else 'energises'}. {relay.text}",
        "proposal",
    )
    yield done_item(
        "factory",
        "relays",
        relay.key,
        (),
        "wire break",
        "Break the wire of its contact to the next system.",
        "The next system acts as on the relay itself." if drops else "Line monitoring announces the break.",
        "common practice",
    )


def _supplies(proposal: Proposal) -> Iterator[ChecklistItem]:
    for rack in proposal.architecture.racks:
        for number in range(1, rack.power_supplies + 1):
            yield done_item(
                "factory",
                "supplies",
                rack.key,
                (),
                f"supply {number} lost",
                f"Switch off supply {number} alone.",
                "Announced by the circuit-fault relay; no trip, every reading stays.",
                "API 670 (from memory)",
            )
        own = [relay for relay in proposal.architecture.relays if relay.rack == rack.key]
        dropping = [relay.key for relay in own if relay.normally == "energised"]
        trips = [key for key in dropping if "trip" in key]
        yield done_item(
            "factory",
            "supplies",
            rack.key,
            (),
            "all supplies lost",
            "Switch off all supplies, then on again.",
            f"Drop: {', '.join(dropping) or 'none'}. The machine {'trips' if trips else 'is not tripped'}. "
            "No relay trips on the return of the supply alone.",
            "proposal",
        )
