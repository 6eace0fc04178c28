"""Relays: which causes act on which relay, how each stands in healthy running, and supply loss."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import OpenPoint, Record, Relay
from specapp.rulebook.context import Context, PointDraft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.wiring import acts_in, rack_of_points

ALARM = "alarm"
TRIP = "trip"
CIRCUIT_FAULT = "circuit_fault"

_TRIP_PURPOSE = {
    "radial_vibration": "trip_radial",
    "axial_position": "trip_axial",
    "bearing_temperature": "trip_temperature",
    "casing_vibration": "trip_casing",
    "overspeed": "overspeed",
}
_PURPOSE_ORDER = (
    "alarm",
    "trip_radial",
    "trip_axial",
    "trip_temperature",
    "trip_casing",
    "overspeed",
    "circuit_fault",
)
_ENERGISED = "energised"
_DE_ENERGISED = "de-energised"


class Cause(Record, frozen=True):
    """A voting group at one level: its points and their keys, where it acts, by which relay.

    ``purpose`` and ``relay`` are None where no relay is ours.
    """

    group: str
    points: tuple[PointDraft, ...]
    keys: tuple[str, ...]
    level: str
    acts_in: str
    purpose: str | None
    relay: str | None


def awaits_maker(point: PointDraft) -> bool:
    """Return whether this is the axial reading of a pinion without a thrust bearing, nobody's values yet.

    Its alarm is a placeholder until the maker's values are entered; nothing acts on it before.
    """
    if point.quantity != "axial_position" or point.shaft.kind != "pinion" or point.shaft.thrust_bearing:
        return False
    return point.trip is None and (point.alarm is None or point.alarm.status == "placeholder")


def causes(ctx: Context) -> list[Cause]:
    """Return every voting group at every level it has, in proposal order."""
    racks = ctx.once(rack_of_points)
    found = []
    for key, group in ctx.groups.items():
        first = group[0]
        if awaits_maker(first):
            continue
        place = acts_in(first, racks)
        relayed = first.chain in ("monitor", "overspeed_system")
        points, keys = tuple(group), tuple([point.key for point in group])
        for level in _levels(first):
            if relayed:
                purpose = level if level != TRIP else _TRIP_PURPOSE[first.quantity]
                found.append(Cause(key, points, keys, level, place, purpose, f"{place}/{purpose}"))
            else:
                found.append(Cause(key, points, keys, level, place, None, None))
    return found


def _levels(point: PointDraft) -> list[str]:
    """Return the levels of a point's voting group; its legs have their setpoints in common."""
    levels = []
    if point.alarm is not None:
        levels.append(ALARM)
    if point.trip is not None:
        levels.append(TRIP)
    # A bare phase reference wired past any monitor has nothing that could notice its fault.
    if point.chain != "direct" or point.quantity != "phase_reference":
        levels.append(CIRCUIT_FAULT)
    return levels


@rule(
    id="ARC-RLY-010",
    title="Relays",
    phase=Phase.ARCHITECTURE,
    source="API 670 (circuit-fault and overspeed relays: 4th edition, 5.4.1.8.4)",
    edition="edition to be confirmed",
    status="from memory",
)
def relays(ctx: Context) -> Iterator[Relay | OpenPoint | str]:
    """Separate outputs tell the shutdown system what happened; a failing one must be noticed."""
    found: dict[str, list[Cause]] = {}
    for cause in ctx.once(causes):
        if cause.relay is not None:
            found.setdefault(cause.relay, []).append(cause)
    if not found:
        return
    why = ctx.why()
    target = why.fact("safety.sil_target", ctx.machine.safety.sil_target)
    trip_state = _ENERGISED if target is not None else _DE_ENERGISED
    text = (
        f"SIL target {target}: trip relays de-energise to trip."
        if target is not None
        else "No SIL target: trip relays energise to trip, their lines monitored."
    )
    reason = why.say(text + " Circuit-fault and overspeed relays are energised when healthy. Trips latch.")
    order = sorted(
        found, key=lambda relay: (_rank(found[relay][0]), _PURPOSE_ORDER.index(_purpose(found[relay])))
    )
    for key in order:
        first = found[key][0]
        purpose = _purpose(found[key])
        groups = tuple([cause.group for cause in found[key]])
        rack = first.acts_in if first.points[0].chain == "monitor" else None
        normally = _normal_state(purpose, trip_state)
        latched = purpose not in (ALARM, CIRCUIT_FAULT)
        yield Relay(
            key, purpose, normally, latched, rack, groups, _text(purpose, normally, target), (reason,)
        )
    if target is None and any(_purpose(found[key]).startswith("trip") for key in found):
        question = (
            "No SIL target told: trip relays are taken as energise to trip with line monitoring; "
            "the purchaser decides whether they de-energise to trip."
        )
        yield OpenPoint("relays/trip_state", "safety.sil_target", question, "purchaser", (reason,))
    if ctx.racks:
        yield "One supply of a rack lost: alarm by the circuit-fault relay, no trip."
        yield _both_lost(trip_state)


def _rank(cause: Cause) -> tuple[bool, str]:
    """Sort racks before overspeed systems, each by name."""
    return cause.points[0].chain != "monitor", cause.acts_in


def _purpose(found: list[Cause]) -> str:
    assert found[0].purpose is not None
    return found[0].purpose


def _normal_state(purpose: str, trip_state: str) -> str:
    if purpose in ("overspeed", CIRCUIT_FAULT):
        return _ENERGISED
    return _DE_ENERGISED if purpose == ALARM else trip_state


def _text(purpose: str, normally: str, target: int | None) -> str:
    if purpose == ALARM:
        return "Energises on alarm; annunciated in the control system."
    if purpose == CIRCUIT_FAULT:
        return "Drops on a circuit fault, on the loss of one supply, and when the power fails."
    if purpose == "overspeed":
        return "Drops to trip, latched; hard-wired to the trip valve."
    if normally == _ENERGISED:
        return f"Drops to trip, latched (SIL target {target}); hard-wired to the shutdown system."
    return "Energises to trip, latched, its line monitored; hard-wired to the shutdown system."


def _both_lost(trip_state: str) -> str:
    if trip_state == _ENERGISED:
        return "Both supplies of a rack lost: every trip relay and the circuit-fault relay drop; it trips."
    return (
        "Both supplies of a rack lost: the circuit-fault relay drops and alarms; the trip relays stay "
        "de-energised, the machine does not trip and runs unprotected."
    )
