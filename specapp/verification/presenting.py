"""A run of the bench as its pages show it: shapes and words from what was kept, nothing tried again."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.safestring import SafeString

from specapp.bench.result import (
    BenchResult,
    CaseOutcome,
    Cell,
    DelayLine,
    DelayTrial,
    FunctionLine,
    Mend,
    Plot,
)
from specapp.core.markup import escape
from specapp.core.time_zone import moment_text
from specapp.documents.bench_report import cell_text
from specapp.documents.schedules import Schedule
from specapp.documents.wording import number
from specapp.domain.display import unit_symbols
from specapp.drawings.signal_plots import signal_plot_scene
from specapp.projects.presenting.drawings import PHONE_WIDTH_MM, Links, Picture
from specapp.projects.presenting.tables import Column, Row, Table, joined, small
from specapp.verification.models import BenchRun

DESK_WIDTH_MM = 250.0
FAILED = ("missed", "needless", "late")
VERDICTS = {
    "as_it_should": "as it should",
    "missed": "missed",
    "needless": "needless",
    "late": "late",
    "not_evaluated": "not tried, an input is missing",
    "does_not_apply": "does not concern the function",
}
_EXPECTED = {
    "trip": "should trip",
    "alarm": "should alarm",
    "quiet": "should stay quiet",
    "count": "should count",
}
_HAPPENED = {
    "trip": "trips",
    "alarm": "alarms",
    "quiet": "stays quiet",
    "count": "counts",
    "lost": "loses pulses",
}
_DETECTION = {"pp": " p-p", "rms": " r.m.s.", "peak": " peak"}
# A setting of the bench that an override of the group can take: its field.
_OVERRIDDEN = {"delay": "delay", "trip voting": "voting"}


def runs_schedule(runs: Iterable[tuple[BenchRun, str, bool]]) -> Schedule:
    """Return the runs of a machine for a file, each with what came of it and whether it is of now."""
    rows = [
        (
            row.number,
            row.made_of,
            is_of_now,
            row.functions,
            row.scenarios,
            words,
            moment_text(row.made_at),
            row.made_by_name,
        )
        for row, words, is_of_now in runs
    ]
    headings = ("Run", "Made of", "Of now", "Functions", "Scenarios", "What came of it", "Made", "Made by")
    return Schedule("Bench runs", headings, rows)


@dataclass(frozen=True, slots=True)
class Failure:
    """A pair that is not as it should be, with what would mend it; `address` of its page."""

    function: str
    scenario: str
    address: str
    text: str
    mends: tuple[tuple[str, str], ...]


def counted(run: BenchRun) -> str:
    """Return what came of a run in one line."""
    counts = run.counts
    failed = sum(counts.get(name, 0) for name in FAILED)
    tried = failed + counts.get("as_it_should", 0)
    text = (
        f"{tried} pairs tried, {failed} not as it should"
        if failed
        else f"{tried} pairs tried, all as they should"
    )
    untried = counts.get("not_evaluated", 0)
    return f"{text}; {untried} not tried for want of an input" if untried else text


def cell_address(run: BenchRun, function: str, scenario: str, case: str = "") -> str:
    place = reverse("verification:cell-show", args=[run.machine.project_id, run.machine_id, run.number])
    told = {"function": function, "scenario": scenario} | ({"case": case} if case else {})
    return f"{place}?{urlencode(told)}"


def matrix(run: BenchRun, result: BenchResult) -> Table:
    """Return functions by scenarios; each pair that was tried leads to its page."""
    known = {(cell.function, cell.scenario): cell for cell in result.cells}
    rows = []
    for function in result.functions:
        cells = [_linked(run, known[function.key, each.key]) for each in result.scenarios]
        rows.append(Row((joined((function.key, small(function.title))), *cells)))
    columns = [Column("Function"), *(Column(each.title, "bench-cell") for each in result.scenarios)]
    return Table("Table of functions by scenarios", columns, rows)


def _linked(run: BenchRun, cell: Cell) -> SafeString:
    text = escape(cell_text(cell))
    words = escape(VERDICTS[cell.verdict])
    if cell.verdict == "does_not_apply":
        return SafeString(f'<span class="soft" title="{words}">{text}</span>')
    address = escape(cell_address(run, cell.function, cell.scenario))
    strong = cell.verdict in FAILED
    shown = f"<strong>{text}</strong>" if strong else text
    return SafeString(f'<a href="{address}" title="{words}">{shown}</a>')


def failures(run: BenchRun, result: BenchResult, override_url: str) -> Iterator[Failure]:
    """Yield every pair that is not as it should be, in the order of the functions."""
    titles = {each.key: each.title for each in result.scenarios}
    for cell in result.cells:
        if cell.verdict in FAILED:
            governing = governing_case(cell)
            yield Failure(
                cell.function,
                titles[cell.scenario],
                cell_address(run, cell.function, cell.scenario),
                cell.text,
                tuple(mend_words(cell.function, mend, run, override_url) for mend in governing.mends),
            )


def mend_words(function: str, mend: Mend, run: BenchRun, override_url: str) -> tuple[str, str]:
    """Return what would mend a failure, and where that can be set; empty where nothing can be set here."""
    step = "a plain step still trips" if mend.step_still_trips else "but then a plain step trips no more"
    text = f"{mend.setting} {mend.change_to} instead of {mend.now}; {step}"
    field = _OVERRIDDEN.get(mend.setting)
    if field is None or not override_url or not mend.step_still_trips:
        return text, ""
    told = {
        "item": function,
        "field": field,
        "value": mend.change_to,
        "reason": f"Bench run {run.number}: {text}.",
    }
    return text, f"{override_url}?{urlencode(told)}"


def governing_case(cell: Cell) -> CaseOutcome:
    return next(case for case in cell.cases if case.case == cell.governing)


def cases_table(cell: Cell, unit: str, address: Callable[[str], str], chosen: str) -> Table:
    """Return the cases of a pair: what should happen, what did, times, and how far it is from changing."""
    rows = []
    for case in cell.cases:
        name = escape(case.case)
        shown = (
            SafeString(f'<strong aria-current="true">{name}</strong>')
            if case.case == chosen
            else SafeString(f'<a href="{escape(address(case.case))}">{name}</a>')
        )
        rows.append(
            Row(
                (
                    shown,
                    joined((f"{number(case.nominal)} {case.unit}", small(case.disturbance))),
                    _EXPECTED[case.expected],
                    _HAPPENED[case.happened],
                    VERDICTS[case.verdict],
                    _seconds(case.time_to_alarm_s),
                    _seconds(case.time_to_trip_s),
                    _seconds(case.allowed_s),
                    "–" if case.highest is None else f"{number(case.highest)} {unit}",
                    _margin(case),
                )
            )
        )
    columns = (
        *(Column("Case"), Column("Disturbance"), Column("Expected"), Column("Happened"), Column("Verdict")),
        *(Column("Alarm after", "number"), Column("Trip after", "number"), Column("Allowed", "number")),
        *(Column("Highest reading", "number"), Column("Stays so from, to")),
    )
    return Table("Table of the cases", columns, rows)


def _seconds(value: float | None) -> str:
    return "–" if value is None else f"{_figure(value)} s"


def _margin(case: CaseOutcome) -> str:
    if case.verdict in FAILED:
        found = [factor for factor in (case.margin_low, case.margin_high) if factor is not None]
        return " or ".join(f"comes right at {factor:.2f} times" for factor in found) or "at no size tried"
    low = "1/16" if case.margin_low is None else f"{case.margin_low:.2f}"
    high = "16" if case.margin_high is None else f"{case.margin_high:.2f}"
    return f"{low} to {high} times"


def delays_table(result: BenchResult) -> Table:
    """Return, by function, the proposed delay, the shortest that stays quiet, and what each delay costs."""
    rows = [_delay_row(line) for line in result.delays]
    columns = (
        *(Column("Function"), Column("Proposed", "number"), Column("Shortest quiet", "number")),
        *(
            Column("Delays tried: quiet, time to trip"),
            Column("A step with rejection of spikes, without, amid spikes"),
        ),
    )
    return Table("Delay and rejection against time to trip", columns, rows)


def _delay_row(line: DelayLine) -> Row:
    proof = line.rejection
    rejection = "–"
    if proof is not None:
        times = (proof.step_with_s, proof.step_without_s, proof.step_amid_spikes_s)
        hides = "hides a real step" if proof.hides_a_real_step else "hides no real step"
        rejection = f"{', '.join(map(_seconds, times))}: it {hides}"
    shortest = "none of those tried" if line.shortest_quiet_s is None else _seconds(line.shortest_quiet_s)
    return Row((line.function, _seconds(line.proposed_s), shortest, joined(_trials(line)), rejection))


def _trials(line: DelayLine) -> Iterator[str]:
    """Yield the delays that were tried, those next to each other with the same outcome as one range."""
    for what, alike in groupby(line.trials, key=_outcome):
        trials = list(alike)
        ends = [trials[0]] if len(trials) == 1 else [trials[0], trials[-1]]
        delays = " to ".join(number(each.delay_s) for each in ends)
        times = [each.time_to_trip_s for each in ends if each.time_to_trip_s is not None]
        trips = f", a step trips after {' to '.join(_figure(time) for time in times)} s" if times else ""
        yield f"{delays} s: {what}{trips}"


def _outcome(trial: DelayTrial) -> str:
    return "quiet" if trial.quiet else f"disturbed by {', '.join(trial.disturbed_by).replace('_', ' ')}"


def _figure(value: float) -> str:
    """Return a time to the millisecond, which is finer than any relay acts."""
    return number(round(value, 3))


def settings_table(result: BenchResult) -> Table:
    """Return what the model took of the chain, with its source and status."""
    rows = [
        Row(
            (
                read.text,
                "not modelled"
                if read.value is None
                else f"{number(read.value)} {'' if read.unit == '1' else read.unit}",
                read.source,
                read.status,
            )
        )
        for read in result.settings
    ]
    return Table(
        "Settings of the model", [Column(each) for each in ("Setting", "Value", "Source", "Status")], rows
    )


def function_facts(function: FunctionLine) -> list[tuple[str, str]]:
    """Return how a function was tried, as pairs of what and how."""
    unit, detection = function.unit, _DETECTION.get(function.detection, "")
    return [
        ("Points", ", ".join(function.tags)),
        ("Chain", function.chain),
        (
            "Alarm, trip",
            unit_symbols(f"{_level(function.alarm, unit)}, {_level(function.trip, unit)}{detection}"),
        ),
        ("Delay", _seconds(function.delay_s)),
        ("Voting", (function.voting or "none").replace("_", " ")),
        (
            "Multiplier",
            "none" if function.multiplier in (None, 1) else f"x{function.multiplier:g} while starting",
        ),
    ]


def _level(value: float | None, unit: str) -> str:
    return "none" if value is None else f"{number(value)} {unit}"


def pictures(plot: Plot) -> Iterable[SafeString]:
    """Yield the picture of a case for the desk and for a phone held upright."""
    links = Links("", "", {}, frozenset())
    yield Picture(signal_plot_scene(plot, DESK_WIDTH_MM), links, "desk-only").html
    yield Picture(signal_plot_scene(plot, PHONE_WIDTH_MM), links, "phone-only").html
