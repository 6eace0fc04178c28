"""Checks of the trips: against the target, and for what a vote hides."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from specapp.domain.proposal import Check, Measure
from specapp.rulebook.context import Context
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.function_documents import legs_lacking

Function = Mapping[str, Any]
_NAMED_AT_MOST: Final = 6


def _listed(keys: Sequence[str]) -> str:
    shown = ", ".join(keys[:_NAMED_AT_MOST])
    more = len(keys) - _NAMED_AT_MOST
    return f"{shown} and {more} more" if more > 0 else shown


@rule(
    id="SAF-CHK-010",
    title="Trips against the target",
    phase=Phase.SAFETY,
    source="IEC 61508-1, table 2; IEC 61508-2, 7.4.4.2; IEC 61511-1, table 6",
    edition="2010; 2016",
    status="published",
)
def target(ctx: Context) -> Iterator[Check]:
    """A level is met by probability and by architecture, and only on data that somebody stands for."""
    functions = ctx.safety_functions
    if not functions:
        return
    why = ctx.why()
    asked = why.fact("safety.sil_target", ctx.machine.safety.sil_target)
    if asked is None:
        text = "No target told: numbers are shown, no verdict."
        needs = "safety.sil_target"
        yield Check(
            "safety.target", "machine", "not_evaluated", None, None, text, (), needs, (why.say(text),)
        )
        return
    claimed = [each for each in functions if each["level_claimed"] is not None]
    open_ones = [each for each in functions if each["level_claimed"] is None]
    reason = why.say(
        f"Target level {asked}: {len(claimed)} of {len(functions)} trips can be held against it."
    )
    if open_ones:
        statements = list(dict.fromkeys(each["statement"] for each in open_ones))
        text = f"{len(open_ones)} trips are not held against the target: {statements[0]}."
        needs = _needs(ctx, open_ones)
        yield Check("safety.target", "machine", "not_evaluated", None, None, text, (), needs, (reason,))
    for each in claimed:
        yield from _held(each, asked, reason)


def _needs(ctx: Context, functions: Sequence[Function]) -> str:
    safety = ctx.machine.safety
    if any(each.get("placeholders") for each in functions):
        return "devices"
    for name in ("proof_test_interval", "proof_test_coverage", "full_test_interval"):
        if getattr(safety, name) is None:
            return f"safety.{name}"
    return "safety.proof_test_interval"


def _held(function: Function, asked: int, reason: int) -> Iterator[Check]:
    key, levels = function["key"], function["levels"]
    met = levels["by_pfd"] >= asked
    part = max(function["parts"], key=lambda each: each["share"])
    remedies = () if met else (f"Begin with the {part['title']}, {part['share']:.0%} of the probability.",)
    limit = Measure(function["limit_pfd"], "1")
    text = f"{function['title']}: {function['statement']}; asked: level {asked}."
    yield Check(
        "safety.target",
        key,
        "pass" if met else "fail",
        Measure(function["pfd_avg"], "1"),
        limit,
        text,
        remedies,
        None,
        (reason,),
    )
    allowed = min(levels["by_route_1h"], levels["by_fault_tolerance"])
    if levels["control_system_limits"]:
        allowed = min(allowed, function["level_claimed"])
    limited = {
        levels["by_route_1h"]: levels["route_1h_limited_by"].replace("_", " "),
        levels["by_fault_tolerance"]: levels["fault_tolerance_limited_by"],
    }.get(allowed, "the basic control system")
    held = allowed >= asked
    text = f"{function['title']}: the architecture allows level {allowed}; asked: level {asked}."
    remedies = () if held else (f"Limited by {limited or 'the architecture'}.",)
    yield Check(
        "safety.architecture",
        key,
        "pass" if held else "fail",
        Measure(float(allowed), "1"),
        Measure(float(asked), "1"),
        text,
        remedies,
        None,
        (reason,),
    )


@rule(id="SAF-CHK-020", title="Modules shared inside a vote", phase=Phase.SAFETY)
def shared_modules(ctx: Context) -> Iterator[Check]:
    """Two legs that meet in one module before they are voted are lost together, whatever the vote says."""
    voted = [each for each in ctx.safety_functions if len(each["points"]) > 1]
    if not voted:
        return
    sharing = [each for each in voted if each["findings"]["shared"]]
    relied = [
        each for each in sharing if each["stages"] and each["stages"][0]["hardware_fault_tolerance"] > 0
    ]
    if relied:
        text = (
            f"{_listed([each['key'] for each in relied])}: legs that count as redundant share a module, "
            "which is counted once, in series with them."
        )
    elif sharing:
        text = (
            f"{len(sharing)} of {len(voted)} groups have their legs on one module; no redundancy is claimed "
            "of them, and the module is counted once."
        )
    else:
        text = f"The legs of all {len(voted)} groups meet in no module before the vote."
    remedies = ("Put the legs on different modules.",) if relied else ()
    reason = ctx.why().say(text)
    yield Check(
        "safety.shared_module",
        "machine",
        "caution" if relied else "pass",
        Measure(float(len(relied)), "1"),
        Measure(0.0, "1"),
        text,
        remedies,
        None,
        (reason,),
    )


@rule(id="SAF-CHK-030", title="Trips under faults and bypass", phase=Phase.SAFETY)
def bypass(ctx: Context) -> Iterator[Check]:
    """A bypass is somebody's decision for a while; it must neither stop the machine nor bare it unnoticed."""
    tables = [(each["key"], each["truth_table"]) for each in ctx.safety_functions if each["truth_table"]]
    if not tables:
        return
    by_bypass = [k for k, t in tables if t["trips_by_bypass_alone_if_a_bypass_counts_as_a_fault"]]
    by_one = [key for key, table in tables if table["lost_by_faults"] == 1]
    by_all = [key for key, table in tables if (table["lost_by_faults"] or 0) > 1]
    parts = []
    if by_bypass:
        parts.append(
            f"{_listed(by_bypass)}: trips by bypass alone where the system counts a bypassed leg as faulted; "
            "the supplier confirms that it does not."
        )
    if by_one:
        parts.append(f"{_listed(by_one)}: one fault, or one bypass, loses the trip.")
    if by_all:
        parts.append(
            f"{_listed(by_all)}: faults in all legs, or a fault while another leg is bypassed, lose the trip "
            "unless faults are made to trip."
        )
    text = " ".join(parts) or "No group trips by bypass alone or loses its trip by faults."
    remedies = ("Limit every bypass in time, one leg at a time, annunciated.",) if parts else ()
    reason = ctx.why().say(text)
    result = "caution" if parts else "pass"
    yield Check("safety.bypass", "machine", result, None, None, text, remedies, None, (reason,))


@rule(id="SAF-CHK-040", title="Trips pass no network", phase=Phase.SAFETY)
def network(ctx: Context) -> Iterator[Check]:
    """A trip that waits for a message comes late or never when the network is busy or down."""
    if not ctx.safety_functions:
        return
    passing = {each["key"]: each["findings"]["networks"] for each in ctx.safety_functions}
    through = [f"{key} ({', '.join(found)})" for key, found in passing.items() if found]
    lost = [each["key"] for each in ctx.safety_functions if each["findings"]["unreached"]]
    if through:
        text = f"Trips that pass a network: {_listed(through)}."
    elif lost:
        text = f"Trips whose way does not reach what stops the machine: {_listed(lost)}."
    else:
        text = (
            f"Walked from every tip to what stops the machine: {len(passing)} trips, no network on the way."
        )
    failing = bool(through or lost)
    remedies = ("Wire the trip.",) if failing else ()
    reason = ctx.why().say(text)
    result = "fail" if failing else "pass"
    yield Check("safety.network", "machine", result, None, None, text, remedies, None, (reason,))


@rule(
    id="SAF-CHK-050",
    title="Validity of the approximation",
    phase=Phase.SAFETY,
    source="I. Dolan, SIL Calculations, 61508 Association workshop",
    edition="2024",
    status="published",
)
def validity(ctx: Context) -> Iterator[Check]:
    """The formulas are for rare failures; where a leg has mostly failed before it is tested they mislead."""
    states = [(each["key"], each["validity"]) for each in ctx.safety_functions if each["validity"]]
    if not states:
        return
    refused = [key for key, state in states if state["state"] == "refused"]
    doubtful = [key for key, state in states if state["state"] == "doubtful"]
    reasons = {state["reason"]: None for _, state in states if state["reason"]}
    if refused or doubtful:
        text = f"{_listed(refused or doubtful)}: {next(iter(reasons))}."
    else:
        text = "Failure rate times test interval stays below 0.1 in every trip."
    result = "fail" if refused else "caution" if doubtful else "pass"
    remedies = ("Test more often.",) if refused or doubtful else ()
    reason = ctx.why().say(text)
    yield Check("safety.validity", "machine", result, None, None, text, remedies, None, (reason,))


@rule(id="SAF-CHK-060", title="Votes that can be built", phase=Phase.SAFETY)
def vote_can_be_built(ctx: Context) -> Iterator[Check]:
    """A vote of more sensors than a group has is a trip that nobody can wire."""
    for function in ctx.safety_functions:
        lacking = legs_lacking(function["voting"], len(function["points"]))
        if not lacking:
            continue
        text = f"{function['title']}: {lacking}."
        reason = ctx.why().say(text)
        remedies = ("Choose a vote of the sensors that there are, or add a point.",)
        yield Check("safety.vote", function["key"], "fail", None, None, text, remedies, None, (reason,))
