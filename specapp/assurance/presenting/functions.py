"""Trip functions: the list of all, and everything about one."""

from collections.abc import Mapping, Sequence
from typing import Any

from specapp.assurance.presenting.parts import Part, link, probability, share_bar
from specapp.assurance.presenting.voting import comparison_table, truth_table
from specapp.documents.marks import OPEN
from specapp.documents.trip_words import (
    LIMITS,
    VOTES_NOTE,
    Function,
    credit_text,
    decision_text,
    guard_text,
    interval_text,
    level_name,
    level_rows,
    sentence,
    small,
    truth_findings,
)
from specapp.documents.wording import NONE, number, prose, words
from specapp.domain.proposal import Check, Proposal
from specapp.projects.presenting.figures import figure
from specapp.projects.presenting.reader import Reader, state
from specapp.projects.presenting.tables import (
    Block,
    Column,
    Folded,
    GroupRow,
    Lines,
    Row,
    Table,
    joined,
)
from specapp.projects.presenting.tables import (
    small as soft,
)
from specapp.rulebook.check_names import check_words
from specapp.rulebook.reliability_levers import LeverTurn, function_turns
from specapp.rulebook.reliability_working import stages_of, tests_of, working


def verdict_text(function: Function) -> str:
    """Return how a function stands against its target, as shape and word, or why it does not."""
    if function["meets_target"] is not None:
        return state("pass" if function["meets_target"] else "fail")
    return f"{OPEN} no target" if function["target"] is None else f"{OPEN} not evaluated"


def list_parts(proposal: Proposal, reader: Reader, base_url: str) -> list[Part]:
    """Return the parts of the page of all functions."""
    functions = proposal.safety_functions
    if not functions:
        return [
            Part("functions", "Trips", [Lines(["This machine has no trips: there is nothing to verify."])])
        ]
    return [
        Part("functions", "Trips", [*_standing(functions), _list(functions, base_url)], str(len(functions))),
        Part("checks", "What the checks say", [_checks(proposal)]),
        Part("basis", "How they are calculated", [_tests(functions[0], reader), Lines(LIMITS, style="soft")]),
    ]


def _standing(functions: Sequence[Function]) -> list[Block]:
    illustrated = [each for each in functions if each["level_claimed"] is None]
    lines = []
    if illustrated:
        reasons = list(dict.fromkeys(sentence(str(each["statement"])) for each in illustrated))
        lines.append(
            f"{len(illustrated)} of {len(functions)} trips claim nothing. Their numbers, marked ◐, "
            "illustrate how the calculation goes and what weighs most; they are no result."
        )
        return [
            Lines(lines, style="needs-you"),
            Folded("Why nothing is claimed", len(reasons), [Lines(reasons)]),
        ]
    return []


def _list(functions: Sequence[Function], base_url: str) -> Table:
    columns = (
        Column("Trip"),
        Column("Vote"),
        Column("Counted as"),
        Column("PFDavg", "number"),
        Column("By probability", "nowrap"),
        Column("By architecture", "nowrap"),
        Column("Claim", "nowrap"),
        Column("Target", "nowrap"),
        Column("False trips a year", "number"),
        Column("What governs", "says"),
    )
    by_quantity: dict[str, list[Function]] = {}
    for function in functions:
        by_quantity.setdefault(str(function["quantity"]), []).append(function)
    rows: list[Row | GroupRow] = []
    for quantity, own in by_quantity.items():
        rows.append(GroupRow(words(quantity).capitalize(), str(len(own))))
        above = ""
        for function in own:
            governs = str(function["governs"] or function["statement"])
            rows.append(_list_row(function, base_url, soft("as above") if governs == above else governs))
            above = governs
    return Table("Trips", columns, rows, is_narrow=False)


def _list_row(function: Function, base_url: str, governs: str) -> Row:
    from_levels = function["levels"]
    architecture = NONE
    if from_levels is not None:
        architecture = level_name(min(from_levels["by_route_1h"], from_levels["by_fault_tolerance"]))
    claimed = function["level_claimed"]
    asked = "" if function["target"] is None else f"SIL {function['target']}: "
    return Row(
        (
            joined([_link(function, base_url)]),
            words(function["voting"]),
            words(function["credited_voting"]),
            probability(function, function["pfd_avg"]),
            NONE if from_levels is None else level_name(from_levels["by_pfd"]),
            architecture,
            f"{OPEN} not claimed" if claimed is None else level_name(claimed),
            joined([asked, verdict_text(function)], ""),
            probability(function, function["spurious_trips_per_year"]),
            governs,
        ),
        "needs" if function["meets_target"] is False else "",
    )


def _link(function: Function, base_url: str) -> Any:
    return link(f"{base_url}{function['key']}/", str(function["key"]))


def _checks(proposal: Proposal) -> Table:
    # Each trip against its target is the table above.
    own = ("safety.target", "safety.architecture")
    return checks_table(
        [
            check
            for check in proposal.checks
            if check.check.startswith("safety.") and (check.check not in own or check.subject == "machine")
        ],
        "Checks of trips",
    )


def checks_table(checks: Sequence[Check], label: str) -> Table:
    """Return checks, those of the same answer in one row."""
    alike: dict[tuple[str, str, str, tuple[str, ...]], list[str]] = {}
    for check in checks:
        alike.setdefault((check.check, check.result, check.text, check.remedies), []).append(check.subject)
    columns = (
        Column("Check"),
        Column("Result", "nowrap"),
        Column("Of", "subjects"),
        Column("Finding", "says"),
    )
    rows = [
        Row(
            (
                sentence(check_words(name)).rstrip("."),
                state(result),
                " · ".join(subjects),
                joined([prose(text), *map(soft, remedies)]),
            ),
            "needs" if result in ("fail", "caution") else "",
        )
        for (name, result, text, remedies), subjects in alike.items()
    ]
    return Table(label, columns, rows, is_narrow=False)


def _tests(function: Function, reader: Reader) -> Table:
    facts = (
        ("safety.sil_target", "" if function["target"] is None else f"SIL {function['target']}"),
        ("safety.proof_test_interval", f"{number(function['proof_test_interval_h'])} h (T1)"),
        ("safety.proof_test_coverage", f"{number(function['proof_test_coverage'])} (PTC)"),
        (
            "safety.full_test_interval",
            ""
            if function["full_test_interval_h"] is None
            else f"{number(function['full_test_interval_h'])} h (T2)",
        ),
    )
    told = reader.machine.get("safety") or {}
    rows = [
        Row((reader.fact(path), joined([text or NONE, _assumed(told, path, text)], " ")))
        for path, text in facts
    ]
    rows += [
        Row(("Mean repair time, where a device tells none (MRT)", f"{number(function['repair_time_h'])} h")),
        Row(
            (
                "Mean time to restoration, where a device tells none (MTTR)",
                f"{number(function['restoration_time_h'])} h",
            )
        ),
        Row(
            (
                "Common-cause shares",
                "times the factor of the vote, table D.5" if function["beta_by_vote"] else "taken as told",
            )
        ),
        Row(("Formulas", str(function["standard"]))),
    ]
    return Table("How trips are tested and calculated", (Column("Of all trips"), Column("In force")), rows)


def _assumed(told: Mapping[str, Any], path: str, text: str) -> str:
    """Return the mark of a figure in force that nobody told."""
    return soft("assumed") if text and told.get(path.rpartition(".")[2]) is None else ""


def function_parts(function: Function) -> list[Part]:
    """Return the parts of the page of one function."""
    if not function["stages"]:
        return [Part("result", "Result", [Lines([sentence(str(function["statement"]))])])]
    parts = [
        Part("result", "Result", _result(function)),
        Part("parts", "What governs", [Lines([str(function["governs"])]), _devices(function)]),
        Part("turns", "What would turn it", _turns(function)),
    ]
    if function["levels"] is not None:
        columns = (Column("Level"), Column("Allows"), Column("Limited by"))
        parts.append(
            Part("levels", "Level", [Table("Level", columns, [Row(row) for row in level_rows(function)])])
        )
    if function["voting_comparison"]:
        blocks: list[Block] = [comparison_table(function), Lines([VOTES_NOTE], style="soft")]
        parts.append(Part("votes", "Votes compared: missed against false trips", blocks))
    if function["truth_table"]:
        table = function["truth_table"]
        findings = truth_findings(table)
        blocks = [truth_table(table), *([Lines(findings)] if findings else [])]
        parts.append(Part("truth", "Legs faulted or bypassed", blocks))
    parts.append(Part("way", "Walked from tip to final element", [_way(function)]))
    parts.append(Part("working", "Calculation", _working(function)))
    return parts


def _result(function: Function) -> list[Block]:
    claimed = function["level_claimed"]
    asked = NONE if function["target"] is None else f"SIL {function['target']}"
    rows = [
        Row(("Claim", f"{OPEN} not claimed" if claimed is None else level_name(claimed))),
        Row(("Target", joined([asked, verdict_text(function)], ", "))),
        Row(("PFDavg", probability(function, function["pfd_avg"]))),
        Row(("Must stay below", small(function["limit_pfd"]))),
        Row(("False trips a year", probability(function, function["spurious_trips_per_year"]))),
        Row(("Vote", words(function["voting"]))),
        Row(("Counted as", words(function["credited_voting"]))),
        Row(("Acts in", str(function["acts_in"]))),
    ]
    lines = [sentence(str(function["statement"]))]
    if function["decision"]:
        lines.append(decision_text(function["decision"]))
    if function["not_copies_because"]:
        lines.append(credit_text(function))
    lines.append(guard_text(function))
    if interval := interval_text(function):
        lines.append(f"Proof-test interval for the target: {interval}")
    return [Table("Result", (Column("Of this trip"), Column("Standing")), rows), Lines(lines)]


def _devices(function: Function) -> Table:
    columns = (
        Column("Part"),
        Column("Number", "number"),
        Column("Share", "nowrap"),
        Column("PFDavg", "number"),
        Column("Type"),
        Column("λDU", "number"),
        Column("λDD", "number"),
        Column("λSD", "number"),
        Column("λSU", "number"),
        Column("Safe failure fraction", "number"),
        Column("β", "number"),
        Column("βD", "number"),
        Column("Data", "says"),
    )
    rows = [
        Row(
            (
                str(part["title"]),
                number(part["count"]),
                share_bar(part["share"]),
                probability(function, part["pfd_avg"]),
                str(part["component_type"]),
                *(
                    small(part[name])
                    for name in (
                        "dangerous_undetected_per_h",
                        "dangerous_detected_per_h",
                        "safe_detected_per_h",
                        "safe_undetected_per_h",
                    )
                ),
                f"{part['safe_failure_fraction']:.1%}",
                number(part["beta"]),
                number(part["beta_detected"]),
                joined(
                    [
                        state("placeholder") if part["status"] == "placeholder" else "told",
                        soft(str(part["source"])),
                    ]
                ),
            )
        )
        for part in function["parts"]
    ]
    return Table("Parts, failures an hour", columns, rows, caption="Failures of one device an hour")


def _turns(function: Function) -> list[Block]:
    turns = function_turns(function)
    if not turns:
        return [Lines(["No target is told: there is nothing that a figure could turn."])]
    meets = turns[0].meets
    opening = "below" if meets else "not below"
    text = (
        f"The probability is {opening} the limit of the target. Each figure is moved alone, the others "
        "as they are."
    )
    if function["basis"] == "placeholder":
        text += " An illustration, on placeholder failure data."
    columns = (Column("Fact"), Column("Now", "number"), Column("Turns at", "number"), Column("Says", "says"))
    rows = [
        Row(
            (
                sentence(turn.fact).rstrip("."),
                _value(turn.now, turn.unit),
                _value(turn.turns_at, turn.unit),
                _said(turn),
            )
        )
        for turn in turns
    ]
    return [Lines([text]), Table("What would turn it", columns, rows)]


def _value(value: float | None, unit: str) -> str:
    if value is None:
        return NONE
    if unit == "1/h":
        return f"{small(value)} 1/h"
    return figure(float(f"{value:.4g}"), unit, None) if unit else number(float(f"{value:.3g}"))


def _said(turn: LeverTurn) -> str:
    if turn.turns_at is None:
        return "no value of it turns the answer" if turn.meets else "no value of it alone meets the target"
    if turn.meets:
        return f"{turn.worsens} this the target is missed"
    side = "below" if turn.worsens == "above" else "above"
    return f"at this and {side} the target is met"


def _way(function: Function) -> Table:
    found = function["findings"]
    lines = (
        ("Sensors that can trip alone", found["trips_alone"], "none"),
        ("Shared by legs before the vote", found["shared"], "none"),
        ("After the vote, shared by design", found["common"], "none"),
        ("Networks on the way", found["networks"], "none: hard-wired all the way"),
        ("Reaches no final element", found["unreached"], "none: every tip reaches what stops the machine"),
    )
    rows = [
        Row((title, joined(map(str, keys)) or otherwise), "needs" if keys and index > 2 else "")
        for index, (title, keys, otherwise) in enumerate(lines)
    ]
    return Table("Found by walking the way of the trip", (Column("Question"), Column("Found", "says")), rows)


def _working(function: Function) -> list[Block]:
    tests = tests_of(function)
    rows = []
    for stage in stages_of(function):
        lines = working(stage, tests)
        rows.append(Row((stage.name, joined(_minus(lines.lines)), joined(_minus(lines.spurious_lines)))))
    total = " + ".join(small(stage["pfd_avg"]) for stage in function["stages"])
    shown = "refused" if function["pfd_avg"] is None else small(function["pfd_avg"])
    false = " + ".join(f"{stage['spurious_trips_per_year']:.3g}" for stage in function["stages"])
    rows.append(
        Row(
            ("Function", f"{total} = {shown}", f"{false} = {function['spurious_trips_per_year']:.3g} a year"),
            "governs",
        )
    )
    columns = (
        Column("Stage"),
        Column("Probability of failure on demand", "says"),
        Column("False trips", "says"),
    )
    return [Table("Calculation", columns, rows, is_narrow=False)]


def _minus(lines: Sequence[str]) -> list[str]:
    return [line.replace("E-", "E−") for line in lines]
