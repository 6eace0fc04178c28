"""The protective functions of a machine: which devices each trip passes, and which votes it holds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from specapp.domain.proposal import Record
from specapp.rulebook.area_needs import INTRINSICALLY_SAFE
from specapp.rulebook.context import Context, PointDraft
from specapp.rulebook.reliability import Stage, credited_vote
from specapp.rulebook.rules.facts import TURBINES
from specapp.rulebook.rules.relays import TRIP, Cause, causes
from specapp.rulebook.safety_data import DEVICE_TITLES, DataInForce
from specapp.rulebook.trip_graph import (
    BETWEEN_RACKS,
    HARD_WIRED,
    SIGNAL,
    Node,
    TripGraph,
    WalkFindings,
    walk_group,
)
from specapp.rulebook.truth_tables import legs_of
from specapp.rulebook.wiring import CONTROL_SYSTEM, MOTOR_RELAY

_KEPT: Final = 256  # ways kept from one proposal to the next
_BREAKER: Final = ("driver breaker", "driver_breaker")
_TRIP_VALVE: Final = ("trip valve", "trip_valve")
_EXPANDER_VALVE: Final = ("expander trip valve", "trip_valve")
_AFTER_THE_VOTE: Final = {
    "monitor": ("relay", "shutdown_logic"),
    "overspeed_system": ("relay",),
    MOTOR_RELAY: ("motor_relay",),
    CONTROL_SYSTEM: ("control_system", "shutdown_logic"),
}
_SENSORS: Final = {
    "proximity_probe": "probe",
    "accelerometer": "accelerometer",
    "high_frequency_accelerometer": "accelerometer",
    "velocity_sensor": "velocity_sensor",
    "resistance_thermometer": "resistance_thermometer",
    "speed_sensor": "speed_sensor",
}
# Legs that trip the group when so many are faulted; with fewer the faulted leg leaves the vote.
_FAULTS_TRIP: Final = {"axial_position": 2, "overspeed": 2}
_TITLES: Final = {
    "radial_vibration": "Radial vibration trip",
    "axial_position": "Axial position trip",
    "bearing_temperature": "Bearing temperature trip",
    "casing_vibration": "Casing vibration trip",
    "winding_temperature": "Winding temperature trip",
    "overspeed": "Overspeed trip",
}
# Legs of these groups measure different things; what they are called where that is said.
_COMPONENTS: Final = {
    "radial_vibration": "X and Y are components of one motion",
    "winding_temperature": "each element feels its own part of the winding",
}


@dataclass(frozen=True, slots=True)
class Leg:
    """What one leg passes before the vote: its own devices, and the module it is read by.

    ``module`` numbers the modules of the group, None without one; ``across`` says that it stands in another
    rack than the relay.
    """

    devices: tuple[str, ...]
    module: int | None = None
    across: bool = False


@dataclass(frozen=True, slots=True)
class Way:
    """The way of a group without its names: legs, devices after the vote, final elements (name, device)."""

    legs: tuple[Leg, ...]
    after: tuple[str, ...]
    finals: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Walked:
    """What walking a way found; the devices of a leg, those legs share, and those after the vote.

    One object for each way, so that what follows from it is found again by the object itself.
    """

    findings: WalkFindings
    leg: tuple[str, ...]
    shared: tuple[str, ...]
    common: tuple[str, ...]


@lru_cache(maxsize=_KEPT)
def walked(way: Way) -> Walked:
    """Walk a way from every tip to every final element. Most groups of a machine share their way."""
    graph = TripGraph()
    tips = []
    for number, leg in enumerate(way.legs, start=1):
        chain = [Node(f"leg {number} {device}", device, True) for device in leg.devices]
        kinds = [SIGNAL] * (len(chain) - 1)
        if leg.module is not None:
            chain.append(Node(f"module {leg.module}", "monitor_module", True))
            kinds.append(SIGNAL)
        for place, device in enumerate(way.after):
            chain.append(Node(device, device, False))
            kinds.append((BETWEEN_RACKS if leg.across else SIGNAL) if place == 0 else HARD_WIRED)
        for name, device in way.finals:
            graph.add([*chain, Node(name, device, False)], [*kinds, HARD_WIRED])
        tips.append(chain[0].key)
    findings = walk_group(graph, tips, [name for name, _ in way.finals])
    leg_keys = max(findings.legs, key=len)
    devices = [
        tuple(graph.nodes[key].device for key in keys)
        for keys in (leg_keys, findings.shared, findings.common)
    ]
    return Walked(findings, *devices)


class TripFunction(Record, frozen=True):
    """One protective function: a voting group at its trip, its way and its stages.

    ``key`` and ``points`` are those of the cause. ``not_copies_because`` says why its legs do not count as
    measuring the same thing, "" where they do or there is only one. ``faults_trip_at`` is the number of
    faulted legs that trip, None where none do. ``names`` are the keys in the proposal of what the way calls
    by a general name. ``stages`` begins with the sensors; it is empty where the vote is none that can be
    calculated.
    """

    cause: Cause
    key: str
    points: tuple[PointDraft, ...]
    voting: str
    title: str
    not_copies_because: str
    faults_trip_at: int | None
    findings: WalkFindings
    names: Mapping[str, str]
    stages: tuple[Stage, ...]

    @property
    def copies(self) -> bool:
        return not self.not_copies_because

    @property
    def is_radial_pair(self) -> bool:
        return self.points[0].quantity == "radial_vibration" and len(self.points) > 1


class TrippedWay(Record, frozen=True):
    """A protective function but for the data of its devices; fields as in `TripFunction`."""

    cause: Cause
    voting: str
    title: str
    not_copies_because: str
    faults_trip_at: int | None
    walked: Walked
    names: Mapping[str, str]


def ways_of_trips(ctx: Context) -> list[TrippedWay]:
    """Return the way of every protective function, in proposal order; for `Context.once`."""
    modules = {
        channel.point: (rack.key, module.slot)
        for rack in ctx.racks
        for module in rack.modules
        for channel in module.channels
        if channel.point is not None
    }
    finals_of_machine = _finals(ctx)
    ways = []
    for cause in ctx.once(causes):
        first = cause.points[0]
        if cause.level != TRIP or first.trip is None:
            continue
        because = _not_copies(ctx, first.quantity, len(cause.points))
        limit = _FAULTS_TRIP.get(first.quantity) if len(cause.points) > 1 else None
        finals = finals_of_machine if first.quantity != "overspeed" else _finals(ctx, first)
        found, names = _walked(modules, cause, finals)
        voting = first.trip.voting or "1oo1"
        ways.append(TrippedWay(cause, voting, _title(cause), because, limit, found, names))
    return ways


def trip_functions(ctx: Context, data: DataInForce) -> Iterator[TripFunction]:
    """Return every protective function, in proposal order."""
    made: dict[tuple[str, bool, int | None, Walked], tuple[Stage, ...]] = {}
    for way in ctx.once(ways_of_trips):
        cause, found = way.cause, way.walked
        signature = (way.voting, not way.not_copies_because, way.faults_trip_at, found)
        stages = made.get(signature)
        if stages is None:
            stages = made[signature] = _stages(*signature, data)
        yield TripFunction(
            cause,
            cause.group,
            cause.points,
            way.voting,
            way.title,
            way.not_copies_because,
            way.faults_trip_at,
            found.findings,
            way.names,
            stages,
        )


def _title(cause: Cause) -> str:
    first = cause.points[0]
    place = first.bearing.key if first.bearing is not None else first.shaft.key
    return f"{_TITLES[first.quantity]}, {place}"


def _not_copies(ctx: Context, quantity: str, legs: int) -> str:
    if legs < 2 or quantity not in _COMPONENTS:
        return ""
    if quantity == "radial_vibration" and ctx.machine.safety.xy_redundancy_justification:
        return ""
    return _COMPONENTS[quantity]


def _walked(
    modules: Mapping[str, tuple[str, int]], cause: Cause, finals: tuple[tuple[str, str], ...]
) -> tuple[Walked, dict[str, str]]:
    """Return what walking the way of a group found, and the names in the proposal of what it passes."""
    first = cause.points[0]
    names: dict[str, str] = {}
    numbers: dict[tuple[str, int], int] = {}
    legs: list[tuple[str, str, bool, int | None, bool]] = []
    for number, point in enumerate(cause.points, start=1):
        assert point.transducer is not None
        chain, kind = point.chain, point.transducer.type
        names[f"leg {number} {_SENSORS[kind]}"] = point.key
        isolated = point.protection in INTRINSICALLY_SAFE
        if chain != "monitor":
            legs.append((kind, chain, isolated, None, False))
            continue
        place = modules[point.key]
        module = numbers.setdefault(place, len(numbers) + 1)
        names[f"module {module}"] = f"{place[0]} place {place[1]}"
        legs.append((kind, chain, isolated, module, place[0] != cause.acts_in))
    place_of_vote = first.chain
    if place_of_vote not in _AFTER_THE_VOTE:
        place_of_vote = MOTOR_RELAY if first.quantity == "winding_temperature" else CONTROL_SYSTEM
    if cause.relay is not None:
        names["relay"] = cause.relay
    return _walked_alike(tuple(legs), place_of_vote, finals), names


@lru_cache(maxsize=_KEPT)
def _walked_alike(
    legs: tuple[tuple[str, str, bool, int | None, bool], ...],
    place_of_vote: str,
    finals: tuple[tuple[str, str], ...],
) -> Walked:
    """Walk the way of legs of these transducers, chains, isolators, modules, across racks or not."""
    told = tuple(
        Leg(_leg_devices(kind, chain, isolated=isolated), module, across)
        for kind, chain, isolated, module, across in legs
    )
    return walked(Way(told, _AFTER_THE_VOTE[place_of_vote], finals))


def _leg_devices(kind: str, chain: str, *, isolated: bool) -> tuple[str, ...]:
    sensor = _SENSORS[kind]
    devices = [sensor]
    if sensor == "probe":
        devices.append("transmitter" if chain == "transmitter" else "oscillator_demodulator")
    if isolated:
        devices.append("isolator")
    if chain == "overspeed_system":
        devices.append("overspeed_logic")
    return tuple(devices)


def _finals(ctx: Context, overspeed: PointDraft | None = None) -> tuple[tuple[str, str], ...]:
    """Return what stops the machine: the drive, and an expander's inlet, which drives on by itself."""
    if overspeed is not None and overspeed.shaft.kind == "pinion":
        return (_EXPANDER_VALVE,)
    driver = ctx.machine.driver
    drive = _TRIP_VALVE if driver is not None and driver.kind in TURBINES else _BREAKER
    if any(pinion.expander_stages for pinion in ctx.machine.pinions):
        return (drive, _EXPANDER_VALVE)
    return (drive,)


def _stages(
    voting: str, copies: bool, limit: int | None, found: Walked, data: DataInForce
) -> tuple[Stage, ...]:
    """Return the stages of a function; none where the vote is no MooN."""
    try:
        must, legs = legs_of(voting)
    except ValueError:
        return ()
    credited = credited_vote(voting, copies=copies)
    redundant = credited != "1oo1" and must < legs
    elements = tuple(data.of(device, redundant=redundant) for device in found.leg)
    sensors = Stage("sensors", voting, credited, elements, faults_trip=limit is not None)
    after = [
        Stage(DEVICE_TITLES[device], "1oo1", "1oo1", (data.of(device, redundant=False),))
        for device in (*found.shared, *found.common)
    ]
    return (sensors, *after)
