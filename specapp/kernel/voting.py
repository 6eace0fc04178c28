"""What a voting group does with the states of its legs, faulted ones included."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from specapp.kernel.arguments import one_of, whole
from specapp.kernel.errors import DomainError

__all__ = ["GROUP_VOTINGS", "LegState", "VoteResult", "vote"]

LegState = Literal["normal", "alarm", "trip", "fault"]
# Legs that must ask for the trip, legs in the group.
GROUP_VOTINGS: Final = {
    "1oo1": (1, 1),
    "1oo2": (1, 2),
    "2oo2": (2, 2),
    "trip_with_alarm": (2, 2),
    "2oo3": (2, 3),
    "1oo3": (1, 3),
}


@dataclass(frozen=True, slots=True)
class VoteResult:
    """What the group does: trip, alarm, and the alarm that a circuit is faulted."""

    trip: bool
    alarm: bool
    circuit_fault: bool


def vote(voting: str, states: Sequence[LegState], faulted_legs_that_trip: int | None = None) -> VoteResult:
    """Return what a voting group does.

    Parameters
    ----------
    voting : str
        "1oo1", "1oo2", "2oo2", "2oo3", "1oo3", or "trip_with_alarm" (of two legs one at trip and the other
        at least at alarm).
    states : sequence of {"normal", "alarm", "trip", "fault"}
        State of each leg, as many as the group has.
    faulted_legs_that_trip : int or None
        Number of faulted legs at which the group trips by itself: 2 for axial position and overspeed. None
        where faults never trip.

    Returns
    -------
    VoteResult
        A faulted leg leaves the vote and alarms; the remaining legs decide, all of them where fewer remain
        than must ask. A leg at trip or alarm alarms.

    Raises
    ------
    DomainError
        If the voting or a state is unknown or the number of legs does not fit.

    Notes
    -----
    Two proximity probes 90 degrees apart measure components of one orbit, not the same thing twice.

    Source: API 670 for both axial legs faulted (from memory); the rest is common practice.
    Checked: tests/kernel/test_voting.py.

    Examples
    --------
    >>> vote("2oo2", ("trip", "fault")).trip, vote("2oo2", ("fault", "fault")).trip
    (True, False)
    >>> vote("2oo2", ("fault", "fault"), faulted_legs_that_trip=2).trip
    True
    """
    one_of("voting", voting, tuple(GROUP_VOTINGS))
    must_ask, legs = GROUP_VOTINGS[voting]
    if len(states) != legs:
        raise DomainError("states", len(states), f"as many as {voting} has legs, {legs}")
    for state in states:
        one_of("states", state, ("normal", "alarm", "trip", "fault"))
    healthy = [state for state in states if state != "fault"]
    faulted = legs - len(healthy)
    trip = faulted_legs_that_trip is not None and faulted >= whole(
        "faulted_legs_that_trip", faulted_legs_that_trip
    )
    if healthy and not trip:
        asking = healthy.count("trip")
        if voting == "trip_with_alarm" and asking:
            asking += healthy.count("alarm")
        trip = asking >= min(must_ask, len(healthy))
    return VoteResult(trip, trip or faulted > 0 or healthy.count("normal") < len(healthy), faulted > 0)
