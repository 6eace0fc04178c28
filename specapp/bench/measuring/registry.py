"""Every kind of record, in the order of the work."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from specapp.bench.measuring.baseline import BASELINE
from specapp.bench.measuring.chain import BYPASS, ELEMENT, FINAL_ELEMENT, LOOP, MULTIPLIER, RELAY_TIME
from specapp.bench.measuring.probes import BUMP, CURVE, GAP, RUNOUT
from specapp.bench.measuring.records import Facts, Kind, Subject
from specapp.domain.proposal import Proposal

__all__ = ["KINDS", "subject_of"]

_ALL: Final = (
    CURVE,
    GAP,
    RUNOUT,
    BUMP,
    ELEMENT,
    LOOP,
    RELAY_TIME,
    MULTIPLIER,
    BYPASS,
    FINAL_ELEMENT,
    BASELINE,
)
KINDS: Final[Mapping[str, Kind]] = MappingProxyType({kind.key: kind for kind in _ALL})


def subject_of(proposal: Proposal, kind: Kind, key: str, facts: Facts | None = None) -> Subject | None:
    """Return what a record of a kind is about; None where the kind does not apply to the key."""
    if key not in kind.keys(proposal):
        return None
    own = tuple(point for point in proposal.points if point.key == key)
    points = own or tuple(point for point in proposal.points if point.voting_group == key)
    return Subject(key, proposal, points, facts or Facts())
