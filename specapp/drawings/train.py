"""What the drawings need to know of a proposal: shafts in order, what sits where, numbers of balloons."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from specapp.domain.display import with_unit
from specapp.domain.proposal import Point, Proposal, ShaftLine

DRIVER = "M"
BULL_GEAR = "BG"

QUANTITY_WORDS = {
    "radial_vibration": "radial vibration",
    "axial_position": "axial position",
    "phase_reference": "phase reference",
    "casing_vibration": "casing vibration",
    "bearing_temperature": "bearing temperature",
    "winding_temperature": "winding temperature",
    "overspeed": "overspeed",
    "speed": "speed",
}
_DRIVER_WORDS = {
    "induction_motor": "induction motor",
    "synchronous_motor": "synchronous motor",
    "variable_speed_motor": "variable-speed motor",
    "steam_turbine": "steam turbine",
    "gas_turbine": "gas turbine",
}


@dataclass(frozen=True, slots=True)
class Position:
    """The points that share one balloon: a pair at a bearing, a set of elements, a single sensor."""

    number: int
    key: str
    points: tuple[Point, ...]

    @property
    def quantity(self) -> str:
        return self.points[0].quantity

    @property
    def shaft(self) -> str:
        return self.points[0].shaft

    @property
    def bearing(self) -> str | None:
        return self.points[0].bearing

    @property
    def legs(self) -> str:
        """The last part of each point's key where there are several: "Y X", "A B", "1 2 3"."""
        if len(self.points) == 1 and self.points[0].key == self.key:
            return ""
        return " ".join(point.key.rsplit("/", 1)[-1] for point in self.points)

    @property
    def label(self) -> str:
        tags = ", ".join(point.tag for point in self.points)
        return f"{self.number}: {self.key}, {QUANTITY_WORDS.get(self.quantity, self.quantity)}: {tags}"


@dataclass(frozen=True, slots=True)
class Pinion:
    """A pinion as the machine description has it, with None where nothing was said."""

    name: str
    position_angle_deg: float | None
    centre_distance_mm: float | None
    is_input: bool
    located_by: str
    stage_on_side: Mapping[int, int]
    expander_stages: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Train:
    shafts: tuple[ShaftLine, ...]
    pinions: tuple[Pinion, ...]
    positions: tuple[Position, ...]
    driver_kind: str | None
    driver_shaft: str
    rotation: str | None

    def shaft(self, name: str) -> ShaftLine | None:
        return next((shaft for shaft in self.shafts if shaft.name == name), None)

    def pinion(self, name: str) -> Pinion | None:
        return next((pinion for pinion in self.pinions if pinion.name == name), None)

    def at(self, *shafts: str) -> tuple[Position, ...]:
        return tuple(position for position in self.positions if position.shaft in shafts)


def train_of(proposal: Proposal) -> Train:
    """Return the machine of a proposal as the drawings read it."""
    machine = proposal.machine
    pinions = tuple(
        _pinion(proposal, entry, index) for index, entry in enumerate(machine.get("pinions") or ())
    )
    driver = machine.get("driver") or {}
    gear = machine.get("bull_gear") or {}
    return Train(
        shafts=tuple(shaft for shaft in proposal.shafts if shaft.name != DRIVER),
        pinions=pinions,
        positions=positions_of(proposal),
        driver_kind=driver.get("kind"),
        driver_shaft=next((pinion.name for pinion in pinions if pinion.is_input), BULL_GEAR),
        rotation=gear.get("rotation"),
    )


def positions_of(proposal: Proposal) -> tuple[Position, ...]:
    """Return the positions in the order of the proposal's points, numbered from 1."""
    members: dict[str, list[Point]] = {}
    for point in proposal.points:
        members.setdefault(_position_key(point), []).append(point)
    return tuple(
        Position(number, key, tuple(points)) for number, (key, points) in enumerate(members.items(), start=1)
    )


def _position_key(point: Point) -> str:
    """Return the key without its last part where that only tells legs of one set apart."""
    head, _, last = point.key.rpartition("/")
    return head if head and (last in ("X", "Y", "A", "B") or last.isdigit()) else point.key


def _pinion(proposal: Proposal, entry: Mapping[str, Any], index: int) -> Pinion:
    name = str(entry.get("name") or f"P{index + 1}")
    line = next((shaft for shaft in proposal.shafts if shaft.name == name), None)
    stages = list(entry.get("stages") or (line.stages if line else ()))
    sides = list(entry.get("stage_sides") or range(1, len(stages) + 1))
    return Pinion(
        name=name,
        position_angle_deg=entry.get("position_angle"),
        centre_distance_mm=entry.get("centre_distance"),
        is_input=entry.get("role") == "input",
        located_by=str(entry.get("axial_location") or _assumed(proposal, f"pinions[{index}].axial_location")),
        stage_on_side={int(side): int(stage) for side, stage in zip(sides, stages, strict=False)},
        expander_stages=tuple(entry.get("expander_stages") or ()),
    )


def _assumed(proposal: Proposal, field: str) -> str:
    """Return what the proposal assumes for a field that was not told, empty where it assumes nothing."""
    return next((str(found.value) for found in proposal.assumptions if found.field == field), "")


def probe_directions(train: Train, shaft: str) -> tuple[tuple[str, float], ...]:
    """Return the distinct (letter, angle in degrees) of the radial probes of a shaft."""
    found: dict[tuple[str, float], None] = {}
    for position in train.at(shaft):
        for point in position.points:
            if point.quantity == "radial_vibration" and point.angle is not None:
                found[(point.direction or "", point.angle.value)] = None
    return tuple(found)


def driver_words(kind: str | None) -> str:
    """Return what a driver is called on a drawing."""
    return _DRIVER_WORDS.get(kind, kind.replace("_", " ")) if kind else "driver, not described"


def speed_text(shaft: ShaftLine) -> str:
    """Return the speed as printed, or that it was not given."""
    return with_unit(shaft.speed.value, shaft.speed.unit) if shaft.speed else "speed not given"
