"""Where each point is wired to, and by which cable: what several rules must agree on."""

from __future__ import annotations

from specapp.rulebook.context import Context, PointDraft

CONTROL_SYSTEM = "control system"
MOTOR_RELAY = "motor relay"
OVERSPEED_SYSTEM = "overspeed system"
SHUTDOWN_SYSTEM = "shutdown system"


def rack_of_points(ctx: Context) -> dict[str, str]:
    """Return the rack of every monitored point."""
    return {
        channel.point: rack.key
        for rack in ctx.racks
        for module in rack.modules
        for channel in module.channels
        if channel.point is not None
    }


def cable_kind(point: PointDraft) -> str:
    """Return pair for a two-wire 4-20 mA signal, triad for everything with three wires."""
    return "pair" if point.chain == "transmitter" else "triad"


def acts_in(point: PointDraft, racks: dict[str, str]) -> str:
    """Return what reads the point: its rack, the control system, the motor relay or the overspeed system."""
    if point.chain == "monitor":
        return racks[point.key]
    if point.chain == "overspeed_system":
        return f"{OVERSPEED_SYSTEM} {point.shaft.key}"
    return MOTOR_RELAY if point.quantity == "winding_temperature" else CONTROL_SYSTEM
