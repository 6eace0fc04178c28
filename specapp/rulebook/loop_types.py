"""The kinds of loop of a machine: points whose field circuit is built alike, and what was told of it.

Works on the points while rules run and on those of a finished proposal alike, so that a document shows
what the check weighed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, Protocol

from specapp.catalogue.loop_devices import placeholder
from specapp.domain.machine import MachineDescription
from specapp.domain.proposal import Proposal, Record, Transducer
from specapp.rulebook.context import Context

Origin = Literal["told", "placeholder", "fallback", "rule"]

ACCELEROMETERS = ("accelerometer", "high_frequency_accelerometer")
TWO_WIRE = "two-wire transmitter loop of 4 to 20 mA"
THREE_WIRE = "three-wire oscillator-demodulator loop at -24 V"


class PointLike(Protocol):
    """What a draft of the rules and a point of a proposal have in common."""

    @property
    def key(self) -> str: ...
    @property
    def tag(self) -> str: ...
    @property
    def chain(self) -> str: ...
    @property
    def transducer(self) -> Transducer | None: ...


@dataclass(frozen=True, slots=True)
class Given:
    """A figure and where it comes from: told by the user, a placeholder, a fallback, or a rule."""

    value: float
    origin: Origin
    path: str


class LoopType(Record, frozen=True):
    """Points with the same field circuit. ``device`` is the key in `devices` of what stands in the field,
    ``in_field`` every device of the loop that bears a marking, ``fed_by`` what supplies it without isolator.
    """

    key: str
    title: str
    build: str
    device: str
    in_field: tuple[str, ...]
    fed_by: str
    points: tuple[Any, ...]

    @property
    def is_current_loop(self) -> bool:
        return self.build == TWO_WIRE

    @property
    def is_simple_apparatus(self) -> bool:
        return self.device == "resistance_thermometer"


_KINDS: Mapping[str, tuple[str, str, str, tuple[str, ...]]] = {
    "oscillator_demodulator": (
        "Oscillator-demodulator",
        THREE_WIRE,
        "oscillator_demodulator",
        ("probe", "oscillator_demodulator"),
    ),
    "transmitter": ("Proximity transmitter", TWO_WIRE, "transmitter", ("probe", "transmitter")),
    "velocity_transmitter": (
        "Velocity sensor with current output",
        TWO_WIRE,
        "velocity_sensor",
        ("velocity_sensor",),
    ),
    "velocity_sensor": (
        "Velocity sensor",
        "two-wire sensor at constant current",
        "velocity_sensor",
        ("velocity_sensor",),
    ),
    "accelerometer": (
        "Accelerometer",
        "two-wire sensor at constant current",
        "accelerometer",
        ("accelerometer",),
    ),
    "resistance_thermometer": (
        "Resistance thermometer",
        "three-wire resistance element",
        "resistance_thermometer",
        ("resistance_thermometer",),
    ),
    "speed_sensor": ("Speed sensor", "pulse circuit", "speed_sensor", ("speed_sensor",)),
}


def loop_key(point: PointLike) -> str:
    """Return the kind of loop of a point."""
    kind = "" if point.transducer is None else point.transducer.type
    if kind == "proximity_probe":
        return "transmitter" if point.chain == "transmitter" else "oscillator_demodulator"
    if kind in ACCELEROMETERS:
        return "accelerometer"
    if kind == "velocity_sensor" and point.chain == "transmitter":
        return "velocity_transmitter"
    return kind


def signal_source(point: PointLike) -> str:
    """Return the key in `devices` of what drives the cable of a point."""
    return _KINDS[loop_key(point)][2]


def told_output_ohm(machine: MachineDescription, point: PointLike) -> float | None:
    """Return the output resistance told of what drives the cable of a point, None where it is not."""
    device = machine.devices.get(signal_source(point))
    return None if device is None else device.output_resistance_ohm


def loop_types(points: Iterable[PointLike]) -> tuple[LoopType, ...]:
    """Return the kinds of loop of these points, in the order in which they first occur."""
    return loop_types_of_groups((point,) for point in points)


def loop_types_of_groups(groups: Iterable[Sequence[PointLike]]) -> tuple[LoopType, ...]:
    """Return the kinds of loop of voting groups, whose points are always wired alike."""
    found: dict[str, list[PointLike]] = {}
    for group in groups:
        found.setdefault(loop_key(group[0]), []).extend(group)
    types = []
    for key, same in found.items():
        title, build, device, in_field = _KINDS[key]
        fed_by = "monitor_module" if any(point.chain == "monitor" for point in same) else "control_system"
        types.append(LoopType(key, title, build, device, in_field, fed_by, tuple(same)))
    return tuple(types)


def loop_types_of_machine(ctx: Context) -> tuple[LoopType, ...]:
    """Return the kinds of loop of all voting groups, for `Context.once`."""
    return loop_types_of_groups(ctx.groups.values())


@dataclass(frozen=True, slots=True)
class LoopFacts:
    """What was told of the circuits, None where not. ``supply_v`` is without its sign."""

    run_m: float | None
    conductor: str | None
    supply_v: float | None
    load_ohm: float | None
    interface_ohm: float | None
    ambient_minimum_c: float | None
    ambient_maximum_c: float | None
    devices: Mapping[str, Any]

    def figure(self, device: str, field: str) -> Given | None:
        """Return a device's figure as told, else its placeholder, None without either."""
        path = f"devices.{device}.{field}"
        told = self.text(device, field)
        if told is not None:
            return Given(told, "told", path)
        stand_in = placeholder(device, field)
        return None if stand_in is None else Given(stand_in, "placeholder", path)

    def text(self, device: str, field: str) -> Any:
        """Return whatever was told of a device, None or empty text where nothing was."""
        found = self.devices.get(device)
        if isinstance(found, Mapping):
            return found.get(field)
        return getattr(found, field, None)


def facts_of_machine(machine: MachineDescription) -> LoopFacts:
    """Return what a description tells of its circuits."""
    told, ambient = machine.installation, machine.ambient
    return LoopFacts(
        told.cable_run,
        told.conductor,
        told.supply_voltage,
        told.loop_load,
        told.interface_resistance,
        ambient.minimum,
        ambient.maximum,
        machine.devices,
    )


def facts_of_proposal(proposal: Proposal) -> LoopFacts:
    """Return what the description inside a proposal tells of its circuits."""
    told = proposal.machine.get("installation") or {}
    ambient = proposal.machine.get("ambient") or {}
    return LoopFacts(
        told.get("cable_run"),
        told.get("conductor"),
        told.get("supply_voltage"),
        told.get("loop_load"),
        told.get("interface_resistance"),
        ambient.get("minimum"),
        ambient.get("maximum"),
        proposal.machine.get("devices") or {},
    )
