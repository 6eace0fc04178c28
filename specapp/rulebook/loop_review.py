"""Everything that is worked out for each kind of loop of a finished proposal, for documents and pages."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from specapp.domain.proposal import Proposal
from specapp.rulebook.area_needs import INTRINSICALLY_SAFE
from specapp.rulebook.entity_comparison import EntityComparison, entity_comparison
from specapp.rulebook.loop_budget import (
    BandwidthLimit,
    SupplyBudget,
    has_supply_budget,
    longest_for_bandwidth,
    supply_budget,
)
from specapp.rulebook.loop_types import LoopType, facts_of_proposal, loop_types

_CABLE_KEYS: Final = ("cable.capacitance", "cable.inductance")


@dataclass(frozen=True, slots=True)
class LoopReview:
    """One kind of loop with its comparison, budget and bandwidth.

    ``compared`` is None where the loop is not intrinsically safe or the gas group of the area is not told,
    ``budget`` where no supply runs through the cable, ``bandwidth`` where it could not be evaluated.
    """

    loop: LoopType
    intrinsically_safe: bool
    compared: EntityComparison | None
    budget: SupplyBudget | None
    bandwidth: BandwidthLimit | None


def is_intrinsically_safe(loop: LoopType) -> bool:
    """Tell whether the points of a kind of loop of a finished proposal are intrinsically safe."""
    return bool(loop.points[0].installation.protection in INTRINSICALLY_SAFE)


def loop_reviews(proposal: Proposal) -> tuple[LoopReview, ...]:
    """Return a review of each kind of loop, in the order of the points."""
    facts = facts_of_proposal(proposal)
    criteria = {str(row["key"]): row["value"] for row in proposal.criteria}
    fallback = any(row.get("override") is None for row in proposal.criteria if row["key"] in _CABLE_KEYS)
    reviews = []
    for loop in loop_types(proposal.points):
        safe = is_intrinsically_safe(loop)
        group = _gas_group(proposal, loop) if safe else None
        compared = budget = None
        if group is not None:
            compared = entity_comparison(
                loop,
                facts,
                group,
                criteria,
                temperature_class=_temperature_class(proposal, loop),
                fallback_cable=fallback,
            )
        if has_supply_budget(loop):
            budget = supply_budget(loop, facts, criteria, isolated=safe)
        bandwidth = longest_for_bandwidth(proposal.checks, facts, loop, criteria)
        reviews.append(LoopReview(loop, safe, compared, budget, bandwidth))
    return tuple(reviews)


def _gas_group(proposal: Proposal, loop: LoopType) -> str | None:
    """Return the group told, else the one that the required marking names."""
    area = proposal.machine.get("hazardous_area")
    told = area.get("gas_group") if isinstance(area, dict) else None
    if told:
        return str(told)
    marking = loop.points[0].installation.required_marking or ""
    words_of = marking.replace(",", " ").split()
    if "Group" in words_of:
        return words_of[words_of.index("Group") + 1]
    if "Groups" in words_of:
        return words_of[words_of.index("Groups") + 1]
    return next((word for word in words_of if word.startswith("II")), None)


def _temperature_class(proposal: Proposal, loop: LoopType) -> str:
    """Return the class told, else the one that the required marking names, else the strictest."""
    area = proposal.machine.get("hazardous_area")
    told = area.get("temperature_class") if isinstance(area, dict) else None
    marking = (loop.points[0].installation.required_marking or "").replace(",", " ").split()
    return (
        str(told)
        if told
        else next((word for word in marking if word[:1] == "T" and word[1:2].isdigit()), "T6")
    )
