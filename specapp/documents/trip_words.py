"""What is said of a trip function, in the report, on the sheets and on the pages alike."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from specapp.documents.marks import BAR, FULL, GOVERNS, HALF
from specapp.documents.wording import NONE, number, true_minus, words
from specapp.rulebook.reliability_working import interval_for_target

Function = Mapping[str, Any]

STANDING: Final = {"placeholder": f"{HALF} placeholder", "told": f"{FULL} told"}
LIMITS: Final = (
    (
        "Low demand only, at most one demand a year; a frequency of dangerous failure (PFH) is not "
        "calculated, because the editions of its formulas differ by a factor of five."
    ),
    (
        "1oo2D is not calculated: it needs the efficiency of its comparison and its rate of safe detected "
        "failures, and the editions of its formula differ by a factor of two."
    ),
    (
        "2oo2, and trip with the other leg's alarm, are counted as annex B counts 2oo2: twice one leg, "
        "without common cause, which is on the safe side."
    ),
    (
        "Random hardware failures only. Systematic capability, the demand rate and the process safety time "
        "are to be shown elsewhere. A trip that is calculated is not yet a trip that was tested."
    ),
    "Published values were seen in secondary copies; confirm clause and number against a licensed copy.",
)
VOTES_NOTE: Final = (
    "A vote in which any leg trips misses less and trips more for nothing; one in which legs must agree, the "
    "other way round. Which costs more is the purchaser's decision. Trip with the other leg's alarm fails as "
    "2oo2 does: a failed leg shows no alarm. 2oo3 needs a third probe."
)


def small(value: float | None) -> str:
    """Return a probability or a rate in powers of ten."""
    return NONE if value is None else true_minus(f"{value:.2E}")


def sentence(text: str) -> str:
    """Return a phrase as a sentence."""
    return f"{text[:1].upper()}{text[1:]}.".replace("E-", "E−") if text else ""


def decision_text(decision: Mapping[str, Any]) -> str:
    """Return which vote is in force, by whose decision and why."""
    reason = str(decision.get("reason") or "")
    return f"Vote: {decision['text']}.{f' Reason: {reason}' if reason else ''}"


def credit_text(function: Function) -> str:
    """Return why the legs of a function are not counted as redundant."""
    return (
        f"No redundancy is credited: {function['not_copies_because']}. Fault tolerance 0; a demand may show "
        f"in one leg only, so the vote is counted as {words(function['credited_voting'])}."
    )


def level_name(level: int) -> str:
    """Return a level as it is claimed."""
    return f"SIL {level}" if level else "no SIL"


def level_rows(function: Function) -> list[tuple[str, str, str]]:
    """Return what each thing that limits a level allows, and what limits it; the claim is the last row."""
    levels = function["levels"]
    rows = [
        (
            "by probability",
            level_name(levels["by_pfd"]),
            "below the band of level 4: 4 at most" if levels["below_level_4_band"] else "",
        ),
        ("by route 1H", level_name(levels["by_route_1h"]), words(levels["route_1h_limited_by"] or None)),
        (
            "by fault tolerance, IEC 61511-1",
            level_name(levels["by_fault_tolerance"]),
            words(levels["fault_tolerance_limited_by"] or None),
        ),
    ]
    if levels["control_system_limits"]:
        rows.append(("by where the trip acts", "no SIL", "basic control system"))
    rows.append((f"{GOVERNS} claimed", level_name(function["level_claimed"]), "the lowest of these"))
    return rows


def truth_answer(row: Mapping[str, Any]) -> str:
    """Return what a group does with so many legs faulted and bypassed."""
    if row["needed"] is None:
        return f"{BAR} cannot trip"
    if row["needed"] == 0:
        return "trips at once"
    text = f"trips when {row['needed']} of {row['remaining']} ask"
    return f"{text} and another is at alarm" if row["with_alarm"] else text


def truth_findings(table: Mapping[str, Any]) -> list[str]:
    """Return what a truth table shows that somebody has to know."""
    found = []
    if table["lost_by_faults"] is not None:
        found.append(f"{table['lost_by_faults']} faulted: the trip is lost, alarmed only.")
    if table["lost_by_a_fault_under_bypass"]:
        found.append("One leg bypassed and another faulted: the trip is lost.")
    if table["trips_by_bypass_alone_if_a_bypass_counts_as_a_fault"]:
        found.append(
            f"{table['faulted_legs_that_trip']} faulted legs trip. A system that counts a bypassed leg as "
            "faulted trips by bypass alone: the supplier confirms that it does not."
        )
    return found


def guard_text(function: Function) -> str:
    """Return whether the formulas hold for the numbers of a function."""
    state = function["validity"]
    if state["state"] == "valid":
        return "Failure rate times test interval stays below 0.1 in every stage: the formulas hold."
    return f"{words(state['state'])}: {state['reason']}."


def interval_text(function: Function) -> str:
    """Return the longest proof-test interval for the target, empty without target or calculation."""
    search = interval_for_target(function)
    if search is None:
        return ""
    low, high = search.searched_h
    limit = small(search.limit_pfd)
    if search.interval_h is None:
        text = f"No interval from {number(low)} to {number(high)} h keeps the function below {limit}."
    elif search.capped:
        text = (
            f"Every interval up to {number(high)} h, the longest searched, keeps the function below {limit}."
        )
    else:
        longest = number(float(int(search.interval_h)))
        text = (
            f"The longest interval below {limit} is {longest} h, at most 2 h too short, found in "
            f"{search.steps} steps between {number(low)} and {number(high)} h."
        )
    if function["basis"] == "placeholder":
        text += " An illustration, on placeholder failure data."
    return text
