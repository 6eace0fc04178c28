"""The chain behind the transducers: elements, loops, times, votes, multiplier, the final element."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from specapp.bench.measuring.records import YES_NO, Field, Judgement, Kind, Subject
from specapp.domain.display import number_text, with_unit
from specapp.domain.proposal import Point, Proposal, Setpoint
from specapp.kernel.commissioning import element_check, loop_check, relay_time
from specapp.kernel.errors import DomainError

__all__ = ["BYPASS", "ELEMENT", "FINAL_ELEMENT", "LOOP", "MULTIPLIER", "RELAY_TIME"]


def _levels(point: Point) -> dict[str, Setpoint]:
    found = {"alarm": point.setpoints.alarm, "trip": point.setpoints.trip}
    return {name: each for name, each in found.items() if each is not None and each.value is not None}


def _element_keys(proposal: Proposal) -> Sequence[str]:
    return [point.key for point in proposal.points if point.transducer.type == "resistance_thermometer"]


def _element_fields(subject: Subject) -> Sequence[Field]:
    return (
        Field("resistance_ohm", "Resistance of the element, in ohm", help="Leads compensated; Pt100."),
        Field("reference_c", "Reference thermometer", unit="degC"),
        Field(
            "tolerance_class",
            "Class of the element",
            "choice",
            choices=(("A", "A"), ("B", "B")),
            initial="B",
        ),
    )


def _judge_element(subject: Subject, data: Mapping[str, Any]) -> Judgement:
    found = element_check(
        data["resistance_ohm"], data["reference_c"], tolerance_class=data["tolerance_class"]
    )
    problem = f"The element reads {found.error_k:+.2f} K off, {found.allowed_k:.2f} K are allowed."
    return Judgement(
        found.passes,
        (
            ("Resistance by the table", f"{found.expected_ohm:.2f} ohm"),
            ("The element reads", f"{found.temperature_c:.2f} °C"),
            ("Error", f"{found.error_k:+.2f} K"),
        ),
        (("Error", f"within {found.allowed_k:.2f} K, class {data['tolerance_class']}"),),
        () if found.passes else (problem,),
        "The resistance is turned into a temperature by the formula of the table and held against the "
        "tolerance of the class at the reference temperature.",
        "IEC 60751:2008 (published in secondary copies)",
    )


def _loop_keys(proposal: Proposal) -> Sequence[str]:
    return [point.key for point in proposal.points if point.range is not None]


def _loop_fields(subject: Subject) -> Sequence[Field]:
    span = subject.point.range
    assert span is not None
    text = (
        f"Range {with_unit(span.low.value, span.low.unit)} to {with_unit(span.high.value, span.high.unit)}."
    )
    return (
        Field("value", "Value put in", unit=span.high.unit, help=text),
        Field("measured_ma", "Current in the loop", unit="mA"),
    )


def _judge_loop(subject: Subject, data: Mapping[str, Any]) -> Judgement:
    span = subject.point.range
    assert span is not None
    low, high = span.low.value, span.high.value
    if not low <= data["value"] <= high:
        raise DomainError(
            "value", data["value"], f"from {low:g} to {high:g} {span.high.unit}", span.high.unit
        )
    found = loop_check(data["measured_ma"], data["value"], low, high)
    problem = f"The loop is {found.error_ma:+.2f} mA off, {found.error_percent:+.1f} percent of its span."
    return Judgement(
        found.passes,
        (
            ("Expected", f"{found.expected_ma:.3f} mA"),
            ("Error", f"{found.error_percent:+.2f} percent of span"),
        ),
        (("Error", "within 1 percent of span"),),
        () if found.passes else (problem,),
        "4 mA at the low end of the range, 20 mA at the high end, straight between.",
        "definition of the signal; 1 percent common practice",
    )


def _relay_keys(proposal: Proposal) -> Sequence[str]:
    return [point.key for point in proposal.points if _levels(point)]


def _relay_fields(subject: Subject) -> Sequence[Field]:
    choices = tuple(
        (name, f"{name}, delay {number_text(each.delay.value if each.delay else 0.0)} s")
        for name, each in _levels(subject.point).items()
    )
    return (
        Field("level", "Of the", "choice", choices=choices, initial=choices[-1][0]),
        Field("measured_s", "Time from the step to the contact", unit="s"),
    )


def _judge_relay(subject: Subject, data: Mapping[str, Any]) -> Judgement:
    setpoint = _levels(subject.point)[data["level"]]
    delay = setpoint.delay.value if setpoint.delay else 0.0
    found = relay_time(data["measured_s"], delay)
    problem = (
        f"The {data['level']} acted after {number_text(data['measured_s'])} s, allowed are "
        f"{number_text(found.earliest_s)} to {number_text(found.latest_s)} s."
    )
    return Judgement(
        found.passes,
        (("Beyond the delay", f"{data['measured_s'] - delay:+.3f} s"),),
        (("Time", f"{number_text(found.earliest_s)} to {number_text(found.latest_s)} s"),),
        () if found.passes else (problem,),
        "Not before the delay, less 50 ms for the resolution of the test, and at most 100 ms beyond it.",
        "common practice",
    )


def _causes(proposal: Proposal) -> Sequence[str]:
    return list(dict.fromkeys(row.cause for row in proposal.cause_and_effect if row.level == "trip"))


def _final_fields(subject: Subject) -> Sequence[Field]:
    return (
        Field("element", "Final element", "line", help="For example the breaker, the trip valve."),
        Field("acted", "It acted", "choice", choices=YES_NO),
        Field("time_s", "Time from the transducer to the element", unit="s"),
        Field("allowed_s", "Time allowed", unit="s", required=False, help="By the safety or process study."),
        Field("blocked", "Restart was blocked until reset", "choice", choices=YES_NO),
    )


def _judge_final(subject: Subject, data: Mapping[str, Any]) -> Judgement:
    problems = []
    if data["acted"] != "yes":
        problems.append(f"{data['element']} did not act.")
    if data["blocked"] != "yes":
        problems.append("The machine could be started again without a reset.")
    allowed = data.get("allowed_s")
    if allowed is not None and data["time_s"] > allowed + 1e-9:
        problems.append(f"It took {number_text(data['time_s'])} s, {number_text(allowed)} s are allowed.")
    return Judgement(
        not problems,
        (("Time", f"{number_text(data['time_s'])} s"),),
        (("Time", "not told" if allowed is None else f"at most {number_text(allowed)} s"),),
        tuple(problems),
        "The function is brought to trip at the transducer; the element itself acts in its time, and the "
        "machine cannot start again before a reset.",
        "proposal; time by the study of the owner",
    )


def _groups(proposal: Proposal, *, multiplied: bool) -> Sequence[str]:
    found = dict.fromkeys(
        point.voting_group
        for point in proposal.points
        if point.setpoints.trip is not None and (point.multiplier is not None or not multiplied)
    )
    return list(found)


def _multiplier_fields(subject: Subject) -> Sequence[Field]:
    unit = subject.point.setpoints.trip.unit if subject.point.setpoints.trip else ""
    return (
        Field("held", "Armed, no trip at", unit=unit),
        Field("tripped", "Armed, tripped at", unit=unit),
        Field("unarmed", "Not armed, the first value trips", "choice", choices=YES_NO),
        Field("ended_s", "Ended by itself after", unit="s"),
    )


def _judge_multiplier(subject: Subject, data: Mapping[str, Any]) -> Judgement:
    multiplier, trip = subject.point.multiplier, subject.point.setpoints.trip
    assert multiplier is not None
    assert trip is not None
    assert trip.value is not None
    span = subject.point.range
    room = 0.01 * (span.high.value - span.low.value if span else trip.value)
    raised, time_out = multiplier.factor * trip.value, multiplier.time_out.value
    problems = []
    if not trip.value < data["held"] < raised:
        problems.append(
            f"The value without a trip, {with_unit(data['held'], trip.unit)}, proves nothing: it must lie "
            f"between {with_unit(trip.value, trip.unit)} and {with_unit(raised, trip.unit)}."
        )
    if abs(data["tripped"] - raised) > room + 1e-9:
        problems.append(
            f"It tripped at {with_unit(data['tripped'], trip.unit)}, {with_unit(raised, trip.unit)} within "
            f"{with_unit(room, trip.unit, digits=3)} is expected."
        )
    if data["unarmed"] != "yes":
        problems.append("Without arming the value did not trip: the factor is always on.")
    if abs(data["ended_s"] - time_out) > 0.05 * time_out + 1e-9:
        problems.append(
            f"It ended after {number_text(data['ended_s'])} s, {number_text(time_out)} s within 5 percent "
            "is set."
        )
    return Judgement(
        not problems,
        (("Factor found", f"{data['tripped'] / trip.value:.3g}"),),
        (
            ("Raised trip", f"{with_unit(raised, trip.unit)} within {with_unit(room, trip.unit, digits=3)}"),
            ("Time-out", f"{number_text(time_out)} s within 5 percent"),
        ),
        tuple(problems),
        f"Factor {multiplier.factor:g} while armed by {multiplier.armed_by}, and only then; 1 percent of the "
        "range at the trip, 5 percent at the time.",
        "proposal; tolerances common practice",
    )


def _bypass_fields(subject: Subject) -> Sequence[Field]:
    trip = subject.point.setpoints.trip
    vote = trip.voting if trip and trip.voting else "stated vote"
    return (
        Field("announced", "The bypass was announced", "choice", choices=YES_NO),
        Field("tripped", "The bypass itself tripped the machine", "choice", choices=YES_NO),
        Field("voted", f"The other sensors acted by {vote}", "choice", choices=YES_NO),
        Field("ended", "It ended with its key, and that was announced", "choice", choices=YES_NO),
    )


def _judge_bypass(subject: Subject, data: Mapping[str, Any]) -> Judgement:
    wrong = {
        "announced": ("yes", "The bypass was not announced."),
        "tripped": ("no", "The bypass itself tripped."),
        "voted": ("yes", "The other sensors did not act by the vote."),
        "ended": ("yes", "The bypass did not end with its key."),
    }
    problems = tuple(text for name, (right, text) in wrong.items() if data[name] != right)
    return Judgement(
        not problems,
        (),
        (("Bypass", "announced, trips nothing by itself, leaves the vote of the others"),),
        problems,
        "One sensor is bypassed, then each of the others is brought past its trip.",
        "common practice",
    )


ELEMENT: Final = Kind("element", "Resistance element", _element_keys, _element_fields, _judge_element)
LOOP: Final = Kind("loop_current", "Loop current", _loop_keys, _loop_fields, _judge_loop)
RELAY_TIME: Final = Kind("relay_time", "Relay time", _relay_keys, _relay_fields, _judge_relay)
FINAL_ELEMENT: Final = Kind(
    "final_element",
    "Trip to the final element",
    _causes,
    _final_fields,
    _judge_final,
    "With the machine at rest, permits in hand and the process ready for it.",
)
MULTIPLIER: Final = Kind(
    "multiplier",
    "Setpoint multiplier",
    lambda proposal: _groups(proposal, multiplied=True),
    _multiplier_fields,
    _judge_multiplier,
)
BYPASS: Final = Kind(
    "bypass",
    "Bypass",
    lambda proposal: _groups(proposal, multiplied=False),
    _bypass_fields,
    _judge_bypass,
    "A bypass takes protection away: under permit, and never longer than the test.",
)
