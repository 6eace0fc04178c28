"""A baseline of the running machine; what its criterion makes of the alarm is proposed, never applied."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from specapp.bench.measuring.records import Field, Judgement, Kind, Subject
from specapp.domain.display import with_unit
from specapp.domain.proposal import Proposal
from specapp.kernel.arguments import positive

__all__ = ["BASELINE", "CRITERIA"]

# The quantities whose alarm a criterion refines by a baseline, and that criterion.
CRITERIA: Final[Mapping[str, str]] = {
    "radial_vibration": "radial.baseline",
    "casing_vibration": "casing.baseline",
}


def _keys(proposal: Proposal) -> Sequence[str]:
    # Only these rotors have a baseline in the description; the driver's maker sets the driver's alarms.
    rotors = {line.name for line in proposal.shafts if line.kind in ("bull_gear", "pinion")}
    found = dict.fromkeys(
        point.voting_group
        for point in proposal.points
        if point.quantity in CRITERIA and point.setpoints.alarm is not None and point.shaft in rotors
    )
    return list(found)


def _fields(subject: Subject) -> Sequence[Field]:
    alarm = subject.point.setpoints.alarm
    assert alarm is not None
    return (
        Field("baseline", "Baseline, the highest of its sensors", unit=alarm.unit),
        Field("speed_rpm", "At", unit="rpm"),
        Field("load", "Load and process", "line", help="Steady, at normal load, thermally settled."),
    )


def _judge(subject: Subject, data: Mapping[str, Any]) -> Judgement:
    alarm = subject.point.setpoints.alarm
    assert alarm is not None
    positive("baseline", data["baseline"], alarm.unit)
    problems = []
    if alarm.value is not None and data["baseline"] >= alarm.value:
        problems.append(
            f"The baseline is not below the alarm of today, {with_unit(alarm.value, alarm.unit)}: find out "
            "why before it is called one."
        )
    today = "none" if alarm.value is None else with_unit(alarm.value, alarm.unit)
    return Judgement(
        not problems,
        (),
        (("Alarm of today", today),),
        tuple(problems),
        f"The alarm that follows by the criterion {CRITERIA[subject.point.quantity]} is worked out by the "
        "same rules as the proposal, with this baseline in the description.",
        "see the criterion",
    )


BASELINE: Final = Kind("baseline", "Baseline", _keys, _fields, _judge)
