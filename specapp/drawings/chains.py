"""The measuring chains of a proposal, one for each kind of transducer and its use, in order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from specapp.domain.display import format_quantity
from specapp.domain.proposal import Point, Proposal, Relay
from specapp.drawings.boxes import Caption
from specapp.drawings.train import QUANTITY_WORDS

_TRANSDUCERS = {
    "proximity_probe": "proximity probe",
    "accelerometer": "accelerometer",
    "high_frequency_accelerometer": "high-frequency accelerometer",
    "velocity_sensor": "velocity sensor",
    "resistance_thermometer": "resistance thermometer",
    "speed_sensor": "speed sensor",
}


@dataclass(frozen=True, slots=True)
class Chain:
    """One line of the single-line diagram; None where the chain has no such link."""

    key: str
    points: tuple[Point, ...]
    transducer: Caption
    extension: str | None
    electronics: Caption
    field_cable: str
    isolator: Caption | None
    receiver: Caption
    receiver_key: str
    relays: tuple[str, ...]

    @property
    def links(self) -> tuple[str, ...]:
        """The chain in words, tip to receiver."""
        isolator = self.isolator.spoken if self.isolator else "-"
        return (
            self.transducer.spoken,
            self.extension or "-",
            self.electronics.spoken,
            self.field_cable,
            isolator,
            self.receiver.spoken,
        )


def chains_of(proposal: Proposal) -> tuple[Chain, ...]:
    """Return one chain for each (chain, transducer, quantity), in the order of the points."""
    members: dict[tuple[str, str, str], list[Point]] = {}
    for point in proposal.points:
        members.setdefault((point.chain, point.transducer.type, point.quantity), []).append(point)
    return tuple(_chain(proposal, tuple(points)) for points in members.values())


def relay_words(relay: Relay) -> str:
    """Return what a relay is for and where it is."""
    place = relay.rack or relay.key.rpartition("/")[0] or relay.key
    return f"{relay.purpose.replace('_', ' ')}, {place.replace('_', ' ')}"


def _counted(count: int, word: str) -> str:
    return f"{count} × {word}"


def _chain(proposal: Proposal, points: tuple[Point, ...]) -> Chain:
    first = points[0]
    probe = first.transducer.type == "proximity_probe"
    keys = {point.key for point in points}
    tips = list(dict.fromkeys(p.transducer.tip for p in points if p.transducer.tip))
    word = _TRANSDUCERS.get(first.transducer.type, first.transducer.type.replace("_", " "))
    details = [QUANTITY_WORDS.get(first.quantity, first.quantity)]
    if tips:
        details.append("tip " + ", ".join(_kept_together(tip.value, tip.unit) for tip in tips))
    receiver, receiver_key = _receiver(proposal, first, keys)
    return Chain(
        key=f"chain/{first.chain}/{first.transducer.type}/{first.quantity}",
        points=points,
        transducer=Caption(_counted(len(points), word), tuple(details)),
        extension=_extension(points) if probe else None,
        electronics=_electronics(
            first, points, probe, [box.key for box in proposal.architecture.junction_boxes]
        ),
        field_cable=_field_cable(proposal, keys),
        isolator=_isolator(proposal, keys),
        receiver=receiver,
        receiver_key=receiver_key,
        relays=tuple(
            dict.fromkeys(
                row.relay for row in proposal.cause_and_effect if row.relay and keys.intersection(row.points)
            )
        ),
    )


def _extension(points: tuple[Point, ...]) -> str:
    lengths = list(dict.fromkeys(p.transducer.system_length for p in points if p.transducer.system_length))
    system = ", ".join(_kept_together(length.value, length.unit) for length in lengths)
    return f"extension cable, {system} system" if system else "extension cable"


def _electronics(first: Point, points: tuple[Point, ...], probe: bool, order: list[str]) -> Caption:
    used = {p.installation.junction_box for p in points if p.installation.junction_box}
    boxes = [box for box in order if box in used]
    where = ("in " + ", ".join(boxes),) if boxes else ("no junction box",)
    if probe and first.chain == "transmitter":
        return Caption(_counted(len(points), "transmitter, 4-20\u00a0mA"), where)
    if probe:
        return Caption(_counted(len(points), "oscillator-demodulator"), where)
    return Caption(_counted(len(points), "terminal set") if boxes else "No electronics in the field", where)


def _kept_together(value: float, unit: str) -> str:
    """Return a quantity that no line break parts from its unit."""
    return format_quantity(value, unit).replace(" ", "\u00a0")


def _cables(proposal: Proposal, keys: set[str]) -> list[Mapping[str, Any]]:
    return [entry for entry in proposal.architecture.cables if keys.intersection(entry.get("points") or ())]


def _field_cable(proposal: Proposal, keys: set[str]) -> str:
    cables = _cables(proposal, keys)
    kinds = list(dict.fromkeys(str(entry.get("kind") or "cable") for entry in cables))
    if not kinds:
        return "field cable"
    lengths = [entry["length"] for entry in cables if entry.get("length")]
    runs = list(dict.fromkeys(_kept_together(run["value"], run["unit"]) for run in lengths))
    words = ", ".join(kind.replace("_", " ") for kind in kinds)
    return f"{len(cables)} × {words}, " + (", ".join(runs) or "run not told")


def _isolator(proposal: Proposal, keys: set[str]) -> Caption | None:
    held = [
        line
        for line in proposal.bill_of_materials
        if line.item == "galvanic_isolator" and keys.intersection(line.points)
    ]
    count = len(keys.intersection(point for line in held for point in line.points))
    return Caption(_counted(count, "galvanic isolator")) if held else None


def _receiver(proposal: Proposal, first: Point, keys: set[str]) -> tuple[Caption, str]:
    racks: dict[str, int] = {}
    kinds: dict[str, None] = {}
    for rack in proposal.architecture.racks:
        for module in rack.modules:
            if any(channel.point in keys for channel in module.channels):
                racks[rack.key] = racks.get(rack.key, 0) + 1
                kinds[module.kind] = None
    if racks:
        modules = ", ".join(f"{count} in {rack}" for rack, count in racks.items())
        word = _counted(sum(racks.values()), f"{' and '.join(kinds).replace('_', ' ')} module")
        return Caption(word, (modules,)), next(iter(racks))
    ends = list(dict.fromkeys(str(entry.get("to")) for entry in _cables(proposal, keys) if entry.get("to")))
    name = ", ".join(ends) or first.chain.replace("_", " ")
    links = [link for link in proposal.architecture.interfaces if link.between[0] in ends]
    told = (f"{link.kind.replace('_', ' ')} to {link.between[1].replace('_', ' ')}" for link in links)
    return Caption(name, tuple(dict.fromkeys(told))), ends[0] if ends else first.chain
