"""What a voting group still does with some of its legs faulted or bypassed.

A leg under bypass leaves the vote as a faulted one does, but by somebody's decision: it must not count as a
fault, or the bypass by itself may stop the machine. Both readings are worked out, so that the supplier's
answer can be held against them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

from specapp.kernel.voting import GROUP_VOTINGS, LegState, vote

WITH_ALARM: Final = "trip_with_alarm"
_RESTS: Final[tuple[LegState, ...]] = ("normal", "alarm")


@dataclass(frozen=True, slots=True)
class TruthRow:
    """One combination of faulted and bypassed legs.

    ``needed`` is how many of the ``remaining`` legs must ask for the trip: 0 trips at once, None can no
    longer trip. ``with_alarm`` says that another remaining leg must be at least at alarm.
    """

    faulted: int
    bypassed: int
    remaining: int
    needed: int | None
    with_alarm: bool


@dataclass(frozen=True, slots=True)
class TruthTable:
    """The table of one vote and what it shows.

    ``lost_by_faults`` is the smallest number of faulted legs with which the group can no longer trip, None
    where it never loses its trip so; ``lost_by_bypass`` likewise. ``lost_by_a_fault_under_bypass``: one leg
    bypassed, a fault in another loses the trip. ``trips_by_bypass_alone`` holds if a bypassed leg counted as
    a faulted one.
    """

    voting: str
    legs: int
    faulted_legs_that_trip: int | None
    rows: tuple[TruthRow, ...]
    lost_by_faults: int | None
    lost_by_bypass: int | None
    lost_by_a_fault_under_bypass: bool
    trips_by_bypass_alone: bool


def legs_of(voting: str) -> tuple[int, int]:
    """Return how many legs must ask, and how many a vote has: "1oo6" is (1, 6). Raises ValueError."""
    known = GROUP_VOTINGS.get(voting)
    if known is not None:
        return known
    must, separator, legs = voting.partition("oo")
    if not separator or not must.isdecimal() or not legs.isdecimal() or not 1 <= int(must) <= int(legs):
        raise ValueError(f"{voting!r} is no vote: M of N legs is written MooN")
    return int(must), int(legs)


@lru_cache(maxsize=64)
def truth_table(voting: str, faulted_legs_that_trip: int | None) -> TruthTable:
    """Return the table of a vote. ``faulted_legs_that_trip`` as in `kernel.voting.vote`."""
    _, legs = legs_of(voting)
    rows = []
    for faulted in range(legs + 1):
        for bypassed in range(legs + 1 - faulted):
            needed, with_alarm = _needed(voting, faulted, bypassed, faulted_legs_that_trip)
            rows.append(TruthRow(faulted, bypassed, legs - faulted - bypassed, needed, with_alarm))
    rows.sort(key=lambda row: (row.faulted + row.bypassed, row.bypassed))
    lost = [row for row in rows if row.needed is None]
    limit = faulted_legs_that_trip
    return TruthTable(
        voting,
        legs,
        limit,
        tuple(rows),
        min((row.faulted for row in lost if not row.bypassed), default=None),
        min((row.bypassed for row in lost if not row.faulted), default=None),
        any(row.faulted == 1 and row.bypassed == 1 for row in lost),
        limit is not None and limit <= legs,
    )


def _needed(voting: str, faulted: int, bypassed: int, limit: int | None) -> tuple[int | None, bool]:
    """Return how many remaining legs must ask, and whether another must be at alarm."""
    must, legs = legs_of(voting)
    remaining = legs - faulted - bypassed
    # Only real faults trip; with fewer of them the legs under bypass just leave the vote.
    faults_trip = limit if limit is not None and faulted >= limit else None
    if voting not in GROUP_VOTINGS:
        if faults_trip is not None:
            return 0, False
        return (min(must, remaining) if remaining else None), False
    out: list[LegState] = ["fault"] * (faulted + bypassed)
    asked: list[LegState] = ["trip"] * remaining
    for asking in range(remaining + 1):
        for rest in _RESTS if voting == WITH_ALARM else _RESTS[:1]:
            others: list[LegState] = [rest] * (remaining - asking)
            if vote(voting, [*asked[:asking], *others, *out], faults_trip).trip:
                return asking, rest == "alarm"
    return None, False


@lru_cache(maxsize=64)
def table_document(voting: str, faulted_legs_that_trip: int | None) -> Mapping[str, Any]:
    """Return the table of a vote as it stands in a proposal; the same object each time, not to be changed."""
    table = truth_table(voting, faulted_legs_that_trip)
    return {
        "voting": table.voting,
        "legs": table.legs,
        "faulted_legs_that_trip": table.faulted_legs_that_trip,
        "rows": [
            {
                "faulted": row.faulted,
                "bypassed": row.bypassed,
                "remaining": row.remaining,
                "needed": row.needed,
                "with_alarm": row.with_alarm,
            }
            for row in table.rows
        ],
        "lost_by_faults": table.lost_by_faults,
        "lost_by_bypass": table.lost_by_bypass,
        "lost_by_a_fault_under_bypass": table.lost_by_a_fault_under_bypass,
        "trips_by_bypass_alone_if_a_bypass_counts_as_a_fault": table.trips_by_bypass_alone,
    }
