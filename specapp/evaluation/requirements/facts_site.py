"""Facts of site, area, power, relays, spares and delivery."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from specapp.domain.proposal import Proposal
from specapp.evaluation.requirements.asked import Asked, Fact, fact, measured, positive
from specapp.evaluation.requirements.criterion import AreaNeed
from specapp.kernel.area_classes import level_for_zone

# Environment and area


def _ambient(proposal: Proposal) -> tuple[float | None, float | None]:
    told: Mapping[str, Any] = proposal.machine.get("ambient") or {}
    return told.get("minimum"), told.get("maximum")


@fact
def rack_low_c(asked: Asked) -> Fact:
    return 0.0


@fact
def rack_high_c(asked: Asked) -> Fact:
    """55 degC, or the hottest site with 10 K for the cabinet (common practice)."""
    highest = [high for proposal in asked.proposals if (high := _ambient(proposal)[1]) is not None]
    return max([55.0, *(each + 10 for each in highest)])


@fact
def rack_low(asked: Asked) -> Fact:
    return "0 °C"


@fact
def rack_high(asked: Asked) -> Fact:
    value = rack_high_c(asked)
    return f"{value:g} °C"


@fact
def probe_low_c(asked: Asked) -> Fact:
    return asked.lowest_criterion("probe.temperature_minimum")


@fact
def probe_high_c(asked: Asked) -> Fact:
    return asked.criterion("probe.temperature_maximum")


@fact
def probe_low(asked: Asked) -> Fact:
    return measured(asked.lowest_criterion("probe.temperature_minimum"), "degC")


@fact
def probe_high(asked: Asked) -> Fact:
    return measured(asked.criterion("probe.temperature_maximum"), "degC")


@fact
def electronics_low_c(asked: Asked) -> Fact:
    """The standard range, wider where a site is colder."""
    lows = [low for proposal in asked.proposals if (low := _ambient(proposal)[0]) is not None]
    told = asked.lowest_criterion("probe.electronics_minimum")
    return min([*lows, *([told] if told is not None else [])], default=None)


@fact
def electronics_high_c(asked: Asked) -> Fact:
    rise = asked.criterion("probe.electronics_rise") or 0.0
    highs = [high + rise for proposal in asked.proposals if (high := _ambient(proposal)[1]) is not None]
    told = asked.criterion("probe.electronics_maximum")
    return max([*highs, *([told] if told is not None else [])], default=None)


@fact
def electronics_low(asked: Asked) -> Fact:
    value = electronics_low_c(asked)
    return measured(value, "degC") if isinstance(value, int | float) else None


@fact
def electronics_high(asked: Asked) -> Fact:
    value = electronics_high_c(asked)
    return measured(value, "degC") if isinstance(value, int | float) else None


@fact
def area_needs(asked: Asked) -> Fact:
    """What each machine's area asks; machines without a stated group or class give none."""
    needs = []
    for proposal in asked.proposals:
        area = proposal.machine.get("hazardous_area")
        if not isinstance(area, Mapping):
            continue
        group, temperature_class = _group_and_class(proposal, area)
        if not group or not temperature_class:
            continue
        level = area.get("equipment_protection_level")
        if area.get("zone") is not None:
            level = level or level_for_zone(int(area["zone"]))
        else:
            level = f"Division {area.get('division')}"
        low, high = _ambient(proposal)
        needs.append(AreaNeed(str(proposal.machine["tag"]), level, group, temperature_class, low, high))
    return tuple(needs) or None


def _group_and_class(proposal: Proposal, area: Mapping[str, Any]) -> tuple[str, str]:
    """Return group and temperature class as told, or as the markings of the points have them."""
    group, temperature_class = area.get("gas_group") or "", area.get("temperature_class") or ""
    marking = next(
        (
            point.installation.required_marking
            for point in proposal.points
            if point.installation.required_marking is not None
        ),
        "",
    )
    for word in (marking or "").replace(",", " ").split():
        if not group and word in ("IIA", "IIB", "IIC", "IIB+H2", "A", "B", "C", "D"):
            group = word
        if not temperature_class and word[0] == "T" and word[1:2].isdigit():
            temperature_class = word
    return group, temperature_class


@fact
def areas(asked: Asked) -> Fact:
    needs = area_needs(asked)
    if not isinstance(needs, tuple):
        return None
    texts = dict.fromkeys(
        f"{need.level} {need.gas_group} {need.temperature_class}"
        for need in needs
        if isinstance(need, AreaNeed)
    )
    return "; ".join(texts)


@fact
def classified(asked: Asked) -> Fact:
    return area_needs(asked) is not None


@fact
def unclassified(asked: Asked) -> Fact:
    return all(
        not isinstance(proposal.machine.get("hazardous_area"), Mapping) for proposal in asked.proposals
    )


@fact
def intrinsically_safe(asked: Asked) -> Fact:
    return any((point.installation.protection or "") in ("ia", "ib", "ic") for point in asked.points())


@fact
def protections(asked: Asked) -> Fact:
    found = {point.installation.protection for point in asked.points() if point.installation.protection}
    return ", ".join(sorted(found)) or None


# Power, relays, votes


@fact
def supplies_per_rack(asked: Asked) -> Fact:
    counts = [rack.power_supplies for proposal in asked.proposals for rack in proposal.architecture.racks]
    return float(max(counts)) if counts else None


@fact
def single_fault(asked: Asked) -> Fact:
    return asked.lowest_criterion("rack.single_fault_channels")


@fact
def single_fault_temperature(asked: Asked) -> Fact:
    return asked.lowest_criterion("rack.single_fault_temperature_channels")


@fact
def fault_group(asked: Asked) -> Fact:
    size = asked.lowest_criterion("rack.fault_group_channels")
    return None if size is None else f"{size:.0f} channels"


def _relays(asked: Asked) -> dict[str, str]:
    return {
        relay.purpose.replace("_", " "): relay.normally
        for proposal in asked.proposals
        for relay in proposal.architecture.relays
    }


@fact
def relay_purposes(asked: Asked) -> Fact:
    return tuple(_relays(asked)) or None


@fact
def relay_states(asked: Asked) -> Fact:
    return "; ".join(f"{purpose} {state}" for purpose, state in _relays(asked).items()) or None


@fact
def votes(asked: Asked) -> Fact:
    found = {
        f"{point.quantity.replace('_', ' ')} {point.setpoints.trip.voting.replace('_', ' ')}"
        for point in asked.points()
        if point.setpoints.trip is not None and point.setpoints.trip.voting and point.chain != "direct"
    }
    return tuple(sorted(found)) or None


@fact
def trip_count(asked: Asked) -> Fact:
    return positive(
        sum(
            1
            for proposal in asked.proposals
            for function in proposal.safety_functions
            if function.get("target") and function.get("limit_pfd")
        )
    )


# Spares and delivery


@fact
def spare_percent(asked: Asked) -> Fact:
    return asked.criterion("rack.spare_percent")


@fact
def free_slots(asked: Asked) -> Fact:
    return asked.criterion("rack.free_slots")


@fact
def spare_terminals(asked: Asked) -> Fact:
    return asked.criterion("box.spare_terminal_percent")


@fact
def needed_weeks(asked: Asked) -> Fact:
    return asked.needed_weeks


@fact
def validity_days(asked: Asked) -> Fact:
    return asked.validity_days


@fact
def site_days(asked: Asked) -> Fact:
    return asked.site_days
