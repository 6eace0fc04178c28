"""Facts of scope: what is measured, how often, by what chain."""

from __future__ import annotations

from collections.abc import Callable

from specapp.domain.proposal import Point
from specapp.evaluation.requirements.asked import Asked, Fact, counted, fact, positive, trains


@fact
def machines(asked: Asked) -> Fact:
    return ", ".join(str(proposal.machine["tag"]) for proposal in asked.proposals)


@fact
def monitored(asked: Asked) -> Fact:
    return asked.asks("monitor") or asked.asks("transmitter")


@fact
def has_rack(asked: Asked) -> Fact:
    return any(proposal.architecture.racks for proposal in asked.proposals)


@fact
def has_transmitters(asked: Asked) -> Fact:
    return bool(asked.points(chains=("transmitter",)))


@fact
def has_overspeed(asked: Asked) -> Fact:
    return bool(asked.points("overspeed"))


@fact
def variable_speed(asked: Asked) -> Fact:
    return bool(asked.points("speed"))


def _per_bearing(asked: Asked, quantity: str, accepts: Callable[[Point], bool]) -> float | None:
    counts: list[int] = []
    for proposal in asked.proposals:
        by_place: dict[str, int] = {}
        for point in proposal.points:
            if point.quantity == quantity and accepts(point):
                by_place[point.bearing or point.shaft] = by_place.get(point.bearing or point.shaft, 0) + 1
        counts += by_place.values()
    return float(min(counts)) if counts else None


@fact
def radial_per_pinion_bearing(asked: Asked) -> Fact:
    return _per_bearing(asked, "radial_vibration", lambda point: point.shaft.startswith("P"))


@fact
def axial_per_thrust_bearing(asked: Asked) -> Fact:
    tripping = [point for point in asked.points("axial_position") if point.setpoints.trip is not None]
    by_group: dict[tuple[str, str], int] = {}
    for point in tripping:
        key = (point.tag.rsplit("-", 1)[0], point.voting_group)
        by_group[key] = by_group.get(key, 0) + 1
    return float(min(by_group.values())) if by_group else None


@fact
def phase_references(asked: Asked) -> Fact:
    return positive(counted(asked, "phase_reference"))


@fact
def temperature_channels(asked: Asked) -> Fact:
    return positive(counted(asked, "bearing_temperature"))


@fact
def rack_temperature(asked: Asked) -> Fact:
    return bool(asked.points("bearing_temperature", chains=("monitor",))) and bool(has_rack(asked))


@fact
def casing_channels(asked: Asked) -> Fact:
    return positive(
        sum(
            trains(proposal)
            for proposal in asked.proposals
            for point in proposal.points
            if point.quantity == "casing_vibration" and not point.shaft.startswith("M")
        )
    )


@fact
def driver_points(asked: Asked) -> Fact:
    return positive(
        sum(
            trains(proposal)
            for proposal in asked.proposals
            for point in proposal.points
            if point.shaft.startswith("M") and point.chain == "monitor"
        )
    )


@fact
def dynamic_channels(asked: Asked) -> Fact:
    return positive(counted(asked, "radial_vibration", "axial_position", "casing_vibration"))


@fact
def radial_channels(asked: Asked) -> Fact:
    return positive(counted(asked, "radial_vibration"))


@fact
def probe_channels(asked: Asked) -> Fact:
    return positive(sum(point.transducer.type == "proximity_probe" for point in asked.points()))


@fact
def axial_vibration(asked: Asked) -> Fact:
    return any(
        reading.quantity == "axial_vibration"
        for point in asked.points()
        for reading in point.further_readings
    )


@fact
def junction_boxes(asked: Asked) -> Fact:
    return any(proposal.architecture.junction_boxes for proposal in asked.proposals)
