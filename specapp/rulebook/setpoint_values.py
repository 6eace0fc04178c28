"""From candidates to a setpoint: the governing one, and rounding in setting units."""

from __future__ import annotations

from collections.abc import Sequence
from operator import itemgetter
from typing import NamedTuple

from specapp.domain.proposal import Candidate, Measure, Record, Setpoint
from specapp.rulebook.setting_units import SettingUnit


class Limit(Record, frozen=True):
    """A candidate in canonical units; ``value`` None where ``needs`` is missing."""

    criterion: str
    value: float | None
    needs: str | None = None
    governs: bool = True  # False: shown beside the others, never the governing one


class Governing(NamedTuple):
    """The criterion that governs a setpoint and its value, in canonical units."""

    criterion: str
    value: float


def governing(limits: Sequence[Limit]) -> Governing:
    """Return the smallest of the limits that may govern; the first of equals.

    Every setpoint has at least one candidate that needs no further fact.
    """
    known = [(x.value, x.criterion) for x in limits if x.governs and x.value is not None]
    value, criterion = min(known, key=itemgetter(0))
    return Governing(criterion, value)


def candidates(limits: Sequence[Limit], unit: SettingUnit) -> tuple[Candidate, ...]:
    """Return the limits as the proposal shows them, in setting units, unrounded."""
    return tuple(
        [
            Candidate(
                limit.criterion, None if limit.value is None else unit.of(limit.value), unit.unit, limit.needs
            )
            for limit in limits
        ]
    )


def rounded_pair(alarm: float, trip: float, unit: SettingUnit) -> tuple[float, float]:
    """Return alarm and trip, in setting units, rounded toward zero.

    Where the step would merge them or lose the alarm altogether (a few micrometres), a finer step is
    taken: a trip stands above its alarm, whatever the inputs.
    """
    while True:
        low, high = unit.down(alarm), unit.down(trip)
        if 0 < low < high or unit.decimals > MOST_DECIMALS:
            return low, high
        unit = unit.finer()


MOST_DECIMALS = 6


def plain_setpoint(
    value: float,
    unrounded: float,
    unit: str,
    *,
    delay_s: float,
    governed_by: str,
    candidates: tuple[Candidate, ...],
    trace: tuple[int, ...],
    status: str = "proposed",
    voting: str | None = None,
    group: str | None = None,
    on_circuit_fault: str | None = None,
    low: float | None = None,
) -> Setpoint:
    """Return a setpoint, one-sided without `low`; with a voting it is a trip and latches."""
    return Setpoint(
        value=value,
        unit=unit,
        unrounded=unrounded,
        delay=Measure(delay_s, "s"),
        governed_by=governed_by,
        status=status,
        low=low,
        milliamps=None,
        milliamps_low=None,
        volts=None,
        volts_low=None,
        candidates=candidates,
        trace=trace,
        voting=voting,
        voting_group=group if voting else None,
        latched=True if voting else None,
        on_circuit_fault=on_circuit_fault,
    )
