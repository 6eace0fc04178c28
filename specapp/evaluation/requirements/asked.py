"""What an enquiry is about, and the register of facts that its requirements are written with.

A fact is one small function over all proposals of an enquiry. It answers None where the machines have no
such thing; a requirement that needs it is then left out, or asks for a statement.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from specapp.domain.display import format_quantity
from specapp.domain.proposal import Point, Proposal
from specapp.evaluation.requirements.criterion import AreaNeed

Fact = float | str | bool | tuple[str, ...] | tuple[AreaNeed, ...] | None
DEFAULT_OWNERS: Final = ("machine_maker", "system_supplier")


@dataclass(frozen=True, slots=True)
class Asked:
    """What an enquiry is about: machines, whose scope is asked of the bidder, figures of the buyer."""

    proposals: Sequence[Proposal]
    owners: tuple[str, ...] = DEFAULT_OWNERS
    needed_weeks: float | None = None
    validity_days: float = 90.0
    site_days: float = 5.0

    def asks(self, link: str) -> bool:
        """Tell whether a link of the measuring chain is asked of the bidder on any machine."""
        return any(
            row.owner in self.owners
            for proposal in self.proposals
            for row in proposal.responsibility
            if row.link == link
        )

    def points(self, *quantities: str, chains: Iterable[str] = ()) -> list[Point]:
        wanted = tuple(chains)
        return [
            point
            for proposal in self.proposals
            for point in proposal.points
            if (not quantities or point.quantity in quantities) and (not wanted or point.chain in wanted)
        ]

    def criterion(self, key: str) -> float | None:
        """Return the most demanding reading of a criterion: the highest of the machines."""
        values = [
            row["value"] for proposal in self.proposals for row in proposal.criteria if row["key"] == key
        ]
        return max(values) if values else None

    def lowest_criterion(self, key: str) -> float | None:
        values = [
            row["value"] for proposal in self.proposals for row in proposal.criteria if row["key"] == key
        ]
        return min(values) if values else None


_FACTS: dict[str, Callable[[Asked], Fact]] = {}


def fact(function: Callable[[Asked], Fact]) -> Callable[[Asked], Fact]:
    _FACTS[function.__name__] = function
    return function


def facts_of(asked: Asked) -> Mapping[str, Fact]:
    """Return every fact by name."""
    return {name: function(asked) for name, function in _FACTS.items()}


def trains(proposal: Proposal) -> int:
    """Return how many machines a proposal stands for."""
    return max(len(proposal.machine.get("trains") or ()), 1)


def counted(asked: Asked, *quantities: str, chains: Iterable[str] = ()) -> int:
    wanted = tuple(chains)
    return sum(
        trains(proposal)
        for proposal in asked.proposals
        for point in proposal.points
        if point.quantity in quantities and (not wanted or point.chain in wanted)
    )


def positive(number: float | None) -> float | None:
    return number or None


def measured(value: float | None, unit: str) -> str | None:
    return None if value is None else format_quantity(value, unit).replace("-", "−")
