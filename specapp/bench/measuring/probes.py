"""Proximity probes: loop curve, gap voltage, slow-roll runout, float bump test."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from specapp.bench.measuring.records import Field, Judgement, Kind, Subject
from specapp.domain.display import with_unit
from specapp.domain.proposal import Proposal
from specapp.kernel.commissioning import bump_test
from specapp.kernel.loop_curve import LoopCurve, loop_curve
from specapp.kernel.runout import compensated, runout_share

__all__ = ["BUMP", "CURVE", "GAP", "RUNOUT", "curve_limits", "curve_of"]

_API_670: Final = "API 670 (from memory)"


def _probes(proposal: Proposal, *quantities: str) -> Sequence[str]:
    return [
        point.key
        for point in proposal.points
        if point.transducer.type == "proximity_probe" and (not quantities or point.quantity in quantities)
    ]


def curve_limits(subject: Subject) -> dict[str, float]:
    """Return the limits of a loop curve, as `loop_curve` takes them."""
    criteria = subject.criteria
    return {
        "nominal_v_per_mm": criteria["probe.scale_factor"],
        "increment_error_percent": criteria["probe.scale_error_testing"],
        "deviation_um": criteria["probe.straight_line_testing"],
        "range_mm": criteria["probe.linear_range"],
    }


def curve_of(data: Mapping[str, Any], limits: Mapping[str, float]) -> LoopCurve:
    """Return the curve of a record under the limits it was judged by."""
    return loop_curve([(gap, volts) for gap, volts in data["readings"]], **limits)


def _judge_curve(subject: Subject, data: Mapping[str, Any]) -> Judgement:
    limits = curve_limits(subject)
    curve = curve_of(data, limits)
    like = " or ".join(family.name for family in curve.families) or "no family of alloys known here"
    return Judgement(
        curve.passes,
        (
            ("Average scale factor", with_unit(curve.average_v_per_mm, "V/mm", digits=4)),
            ("Scale factor is like", like),
            ("Linear range", with_unit(curve.linear_range_mm, "mm", digits=3)),
            (
                "Linear from, to",
                ", ".join(with_unit(gap, "mm", digits=4) for gap in (curve.low_gap_mm, curve.high_gap_mm)),
            ),
            ("Largest error of an increment", f"{curve.largest_increment_error_percent:.1f} percent"),
            ("Largest deviation from the straight line", f"{curve.largest_deviation_um:.1f} µm"),
            (
                "Best gap voltage",
                f"{curve.best_gap_v:.2f} V at {with_unit(curve.best_gap_mm, 'mm', digits=4)}",
            ),
        ),
        (
            ("Scale factor", with_unit(limits["nominal_v_per_mm"], "V/mm")),
            ("Error of every increment", f"at most {limits['increment_error_percent']:g} percent"),
            ("Deviation from the straight line", f"at most {limits['deviation_um']:g} µm"),
            ("Linear range", f"at least {limits['range_mm']:g} mm"),
        ),
        curve.problems,
        "The longest stretch in which every increment and the deviation from the straight line of nominal "
        "slope keep their limits is the linear range; the least-squares slope over it is the average scale "
        "factor, the voltage at its middle the best gap voltage. The alloy is a hint where to look, from "
        "rounded public figures (from memory), and no proof of a material.",
        _API_670,
    )


def _curve_fields(subject: Subject) -> Sequence[Field]:
    return (
        Field(
            "readings",
            "Readings",
            "readings",
            help="Gap in mm and output in V, one reading a line, at least five: for example 0.25 -2.00.",
        ),
        Field("material", "Material of the target", "line", required=False, help="As on the test piece."),
    )


def _gap_fields(subject: Subject) -> Sequence[Field]:
    return (Field("gap_v", "Gap voltage", unit="V"),)


def _judge_gap(subject: Subject, data: Mapping[str, Any]) -> Judgement:
    volts = data["gap_v"]
    # Voltages are negative: the criterion called low is the lower end of its own size.
    low, high = sorted(subject.criteria[f"probe.gap_voltage_{end}"] for end in ("low", "high"))
    inside = low - 1e-9 <= volts <= high + 1e-9
    problem = f"{with_unit(volts, 'V')} is outside {low:g} to {high:g} V: set the gap again."
    return Judgement(
        inside,
        (("Off the middle", with_unit(volts - (low + high) / 2, "V", digits=3)),),
        (("Gap voltage", f"{low:g} to {high:g} V"),),
        () if inside else (problem,),
        "The gap voltage stands between its limits with the shaft at rest, for axial probes at mid float.",
        "common practice",
    )


def _runout_fields(subject: Subject) -> Sequence[Field]:
    return (
        Field("total_um", "Runout at slow roll, peak to peak", unit="um", help="Unfiltered, all components."),
        Field("slow_um", "1X at slow roll, peak to peak", unit="um", required=False),
        Field("slow_deg", "Its phase lag", unit="deg", required=False),
        Field("running_um", "1X at speed, peak to peak", unit="um", required=False),
        Field("running_deg", "Its phase lag", unit="deg", required=False),
        Field("speed_rpm", "Slow roll at", unit="rpm", required=False),
    )


def _judge_runout(subject: Subject, data: Mapping[str, Any]) -> Judgement:
    floor, share = subject.criteria["probe.runout_floor"], subject.criteria["probe.runout_share"]
    acceptance = subject.acceptance_um
    # Where the acceptance limit is not known the floor alone holds, which is never above the other.
    allowed = floor if acceptance is None else max(share * acceptance, floor)
    total = data["total_um"]
    of_limit = runout_share(total, allowed)
    results = [("Share of the runout allowed", f"{100 * of_limit:.0f} percent")]
    if acceptance is not None:
        results.append(
            ("Share of the acceptance limit", f"{100 * runout_share(total, acceptance):.0f} percent")
        )
    problems = []
    if of_limit > 1 + 1e-9:
        problems.append(
            f"{with_unit(total, 'um')} are more than the {with_unit(allowed, 'um', digits=3)} allowed: look "
            "for scratches and residual magnetism before anything is subtracted."
        )
    vectors = [(data.get(f"{name}_um"), data.get(f"{name}_deg")) for name in ("slow", "running")]
    if all(value is not None for vector in vectors for value in vector):
        own = compensated(vectors[1], vectors[0])  # type: ignore[arg-type]
        results.append(
            (
                "1X of the rotor itself",
                f"{with_unit(own.displacement_pp_um, 'um', digits=3)} at {own.phase_lag_deg:.0f}°",
            )
        )
    basis = (
        "the floor alone, the acceptance limit is not known"
        if acceptance is None
        else (
            f"the larger of {share:g} of the acceptance limit {with_unit(acceptance, 'um', digits=3)} and "
            f"{with_unit(floor, 'um')}"
        )
    )
    return Judgement(
        not problems,
        tuple(results),
        (("Runout allowed", f"{with_unit(allowed, 'um', digits=3)} peak to peak"),),
        tuple(problems),
        f"Allowed is {basis}. The 1X of the rotor is the vector at speed less the vector at slow roll; "
        "setpoints act on the overall value, from which nothing is subtracted.",
        "API 617 and 670 (from memory)",
    )


def _bump_fields(subject: Subject) -> Sequence[Field]:
    facts = subject.facts
    told = (
        "As the description says." if facts.looks_toward else "The description does not say; see the drawing."
    )
    return (
        Field("active_v", "Voltage at the active stop", unit="V"),
        Field("inactive_v", "Voltage at the inactive stop", unit="V"),
        Field(
            "looks_toward",
            "The tip points",
            "choice",
            choices=(("active", "in the active thrust direction"), ("inactive", "against it")),
            help=told,
            initial=facts.looks_toward or "",
        ),
        Field(
            "float_mm",
            "Float by the maker",
            unit="mm",
            required=False,
            initial="" if facts.float_mm is None else f"{facts.float_mm:g} mm",
        ),
    )


def _judge_bump(subject: Subject, data: Mapping[str, Any]) -> Judgement:
    factor = subject.criteria["probe.scale_factor"]
    expected = data.get("float_mm")
    found = bump_test(
        data["active_v"],
        data["inactive_v"],
        data["looks_toward"],
        scale_factor_v_per_mm=factor,
        expected_float_mm=expected,
    )
    told = "not told" if expected is None else f"{with_unit(expected, 'mm')}, within 0.05 mm"
    return Judgement(
        found.passes,
        (
            ("Float", with_unit(found.float_mm, "mm", digits=3)),
            ("Voltage at mid float", f"{found.mid_v:.2f} V"),
            ("Polarity", "right" if found.polarity_right else "swapped"),
        ),
        (("Float", told), ("The tip points", data["looks_toward"])),
        found.problems,
        f"The float is the difference of both voltages over {factor:g} V/mm. A tip in the active direction "
        "sees the gap open, so the voltage at the active stop is the more negative one.",
        "common practice; scale factor API 670 (from memory)",
    )


CURVE: Final = Kind(
    "loop_curve", "Loop curve", lambda proposal: _probes(proposal), _curve_fields, _judge_curve
)
GAP: Final = Kind("gap_voltage", "Gap voltage", lambda proposal: _probes(proposal), _gap_fields, _judge_gap)
RUNOUT: Final = Kind(
    "runout",
    "Slow-roll runout",
    lambda proposal: _probes(proposal, "radial_vibration"),
    _runout_fields,
    _judge_runout,
)
BUMP: Final = Kind(
    "bump_test",
    "Axial float bump test",
    lambda proposal: _probes(proposal, "axial_position"),
    _bump_fields,
    _judge_bump,
    "Push the rotor only as its maker allows, at rest, locked out.",
)
