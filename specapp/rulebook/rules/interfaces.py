"""Interfaces of the measuring and protection system with what stands around it."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import Interface
from specapp.rulebook.context import Context
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.wiring import (
    CONTROL_SYSTEM,
    MOTOR_RELAY,
    OVERSPEED_SYSTEM,
    SHUTDOWN_SYSTEM,
    acts_in,
    rack_of_points,
)

_TO = "one way"


@rule(id="ARC-INT-010", title="Interfaces", phase=Phase.ARCHITECTURE)
def interfaces(ctx: Context) -> Iterator[Interface | str]:
    """A trip goes by wire; networks only ever read, so that no network fault can stop a trip or cause one."""
    why = ctx.why()
    why.fact("installation.chain", ctx.machine.installation.chain)
    why.say("Trips are hard-wired; data links read only.")
    for rack in ctx.racks:
        yield from _of_rack(ctx, rack.key)
    if len(ctx.racks) > 1:
        names = (ctx.racks[0].key, ctx.racks[-1].key)
        text = (
            "Phase reference signals are handed, buffered, to every rack that reads vibration against them."
        )
        yield Interface("racks/phase", "buffered signal", names, _TO, text)
    racks = ctx.once(rack_of_points)
    places = dict.fromkeys([acts_in(point, racks) for point in ctx.points.values()])
    overspeed = [place for place in places if place.startswith(OVERSPEED_SYSTEM)]
    for system in overspeed:
        text = "Overspeed relay hard-wired to the trip valve; sensors and circuits shared with nothing else."
        yield Interface(f"{system}/trip", "hard-wired trip", (system, SHUTDOWN_SYSTEM), _TO, text)
    if CONTROL_SYSTEM in places:
        text = (
            "Transmitter loops of 4 to 20 mA and bare elements; alarms and trips act in the control system."
        )
        yield Interface(
            "control_system/signals", "analogue signals", ("junction boxes", CONTROL_SYSTEM), _TO, text
        )
        text = "Trips formed in the control system pass to the driver's stop circuit by wire."
        yield Interface(
            "control_system/trip", "hard-wired trip", (CONTROL_SYSTEM, SHUTDOWN_SYSTEM), _TO, text
        )
    if MOTOR_RELAY in places:
        text = "Winding temperatures act in the motor relay; its trip is repeated to the shutdown system."
        yield Interface("motor_relay/trip", "hard-wired trip", (MOTOR_RELAY, SHUTDOWN_SYSTEM), _TO, text)
    if not ctx.racks:
        yield f"No monitor rack: alarms and trips act in the {CONTROL_SYSTEM}."
    if overspeed:
        yield f"Each {OVERSPEED_SYSTEM} stands apart from the vibration rack, with its own supplies."


def _of_rack(ctx: Context, rack: str) -> Iterator[Interface]:
    yield Interface(
        f"{rack}/trip",
        "hard-wired trip",
        (rack, SHUTDOWN_SYSTEM),
        _TO,
        "One pair a trip relay; no trip passes a network.",
    )
    yield Interface(
        f"{rack}/data",
        "data link",
        (rack, CONTROL_SYSTEM),
        "read only",
        "Values, states and gap voltages; no setting can be changed over the link.",
    )
    yield Interface(
        f"{rack}/time",
        "time synchronisation",
        ("plant clock", rack),
        _TO,
        "One time for the event lists of rack, shutdown system and control system.",
    )
    yield Interface(
        f"{rack}/reset",
        "contact",
        (CONTROL_SYSTEM, rack),
        _TO,
        "Reset of latched trips, by hand, after the cause is gone.",
    )
    yield Interface(
        f"{rack}/buffered",
        "buffered signal",
        (rack, "portable instruments"),
        "read only",
        "Unfiltered signal of each dynamic channel, proof against a short circuit.",
    )
    if any(point.multiplier is not None for point in ctx.points.values()):
        yield Interface(
            f"{rack}/start",
            "contact",
            (CONTROL_SYSTEM, rack),
            _TO,
            "Start contact that arms the setpoint multiplier; it ends by time, by loss of the contact "
            "and on leaving the speed band.",
        )
