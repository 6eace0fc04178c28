"""The site test: probes on their shaft, elements, loops, wiring, trips to the final element."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.bench.checklist_items import ChecklistItem, done_item, number_item
from specapp.bench.stored_criteria import StoredCriteria
from specapp.domain.display import with_unit
from specapp.domain.proposal import Point, Proposal

__all__ = ["site_items"]


def site_items(proposal: Proposal) -> Iterator[ChecklistItem]:
    """Yield the items in the order of the work."""
    criteria = StoredCriteria(proposal)
    for point in proposal.points:
        if point.transducer.type == "proximity_probe":
            yield from _probe(proposal, point, criteria)
        elif point.transducer.type == "resistance_thermometer":
            yield number_item(
                "site",
                "elements",
                point.key,
                (point.tag,),
                "element",
                "Read the element at rest against a reference thermometer.",
                "Error to the reference within class B of IEC 60751 at 25 degC.",
                -0.425,
                0.425,
                "K",
                "IEC 60751:2008 (published in secondary copies)",
            )
        if point.chain == "transmitter" and point.range is not None:
            for share in (0, 50, 100):
                yield number_item(
                    "site",
                    "loops",
                    point.key,
                    (point.tag,),
                    f"loop {share}",
                    f"Make the transmitter drive {share} percent of its range.",
                    f"{4 + 16 * share / 100:g} mA in the loop, {share} percent in the control system.",
                    4 + 0.16 * share - 0.16,
                    4 + 0.16 * share + 0.16,
                    "mA",
                    "common practice",
                )
        marking = point.installation.required_marking or "none asked"
        yield done_item(
            "site",
            "wiring",
            point.key,
            (point.tag,),
            "shield and marking",
            "Look at cable, shield and nameplate.",
            f"Shield earthed once, at the rack. Marking: {marking}.",
            "common practice",
        )
    for row in proposal.cause_and_effect:
        if row.level != "trip":
            continue
        effects = ", ".join(effect.replace("_", " ") for effect in row.effects)
        yield done_item(
            "site",
            "final elements",
            row.cause,
            (),
            "trip to the final element",
            "With the machine at rest and permits in hand, bring the function to trip at the transducer.",
            f"{effects}. Restart is blocked until reset.",
            "proposal",
        )


def _probe(proposal: Proposal, point: Point, criteria: StoredCriteria) -> Iterator[ChecklistItem]:
    tags = (point.tag,)
    nominal = criteria["probe.scale_factor"]
    error = nominal * criteria["probe.scale_error_testing"] / 100
    yield number_item(
        "site",
        "probes",
        point.key,
        tags,
        "loop curve scale factor",
        "Take the curve in steps of 0.25 mm on the shaft's own material.",
        f"Every increment within {criteria['probe.scale_error_testing']:g} percent, deviation within "
        f"{criteria['probe.straight_line_testing']:g} um, linear range {criteria['probe.linear_range']:g} "
        f"mm.",
        nominal - error,
        nominal + error,
        "V/mm",
        "API 670 (from memory)",
    )
    # Voltages are negative: the criterion called low is the lower end of its own size.
    ends = sorted((criteria["probe.gap_voltage_low"], criteria["probe.gap_voltage_high"]))
    rest = "rotor at mid float" if point.quantity == "axial_position" else "shaft at rest in its bearing"
    yield number_item(
        "site",
        "probes",
        point.key,
        tags,
        "gap voltage",
        f"Set the gap, {rest}.",
        f"{ends[0]:g} to {ends[1]:g} V.",
        ends[0],
        ends[1],
        "V",
        "common practice",
    )
    if point.quantity == "radial_vibration":
        line = next((each for each in proposal.shafts if each.name == point.shaft), None)
        limit = line.acceptance_limit.value if line and line.acceptance_limit else 25.4
        allowed = max(criteria["probe.runout_share"] * limit, criteria["probe.runout_floor"])
        yield number_item(
            "site",
            "probes",
            point.key,
            tags,
            "slow-roll runout",
            "Record size and phase at slow roll, 200 to 300 r/min or as the maker says.",
            f"At most {with_unit(allowed, 'um', digits=3)} p-p.",
            0.0,
            allowed,
            "um",
            "API 617 and 670 (from memory)",
        )
    if point.quantity == "axial_position":
        yield done_item(
            "site",
            "probes",
            point.key,
            tags,
            "float bump test",
            "Push the rotor to the active stop and to the inactive stop, write both voltages.",
            "The reading grows positive toward the active side; the float agrees with the maker's.",
            "common practice",
        )
    if point.quantity == "phase_reference":
        yield number_item(
            "site",
            "probes",
            point.key,
            tags,
            "pulse height",
            "Turn the shaft, read the height of the pulse.",
            f"At least {criteria['pulse.height']:g} V, one count an event.",
            criteria["pulse.height"],
            None,
            "V",
            "common practice",
        )
