"""The report of the signal bench: functions by scenarios, what fails, what would mend it, pictures.

It prints a stored bench/1 beside the proposal it was made of; it tries nothing itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from specapp.bench.result import BenchResult, Cell, DelayLine, Plot
from specapp.documents.book import Book
from specapp.documents.fonts import BOLD
from specapp.documents.front import draw_cover, sheet_notes, title_block
from specapp.documents.marks import BAR, FULL, HALF, OPEN, status_mark
from specapp.documents.options import Options
from specapp.documents.scene_pdf import set_scene
from specapp.documents.tables import Column, Table, set_table, trimmed
from specapp.documents.wording import NONE, number, prose, words
from specapp.domain.proposal import Proposal
from specapp.drawings.signal_plots import signal_plot_scene

TITLE: Final = "Verification on the signal bench"

_CAUTION: Final = "A model passes no test: the factory and the site test try the real chain."
_ACTS: Final = {"trip": "trips", "alarm": "alarms", "quiet": "quiet", "count": "counts", "lost": "loses"}
_FAILS: Final = {"missed": "missed", "needless": "needless", "late": "late"}
_LEGEND: Final = (
    f"{FULL} as it should   {HALF} as it should, but a disturbance less than 5 percent off would change it   "
    f"{BAR} not as it should   {OPEN} not tried, an input is missing   – does not concern the function"
)
_PLOT_MM: Final = 178.0


def render(proposal: Proposal, result: BenchResult, options: Options) -> bytes:
    """Return the report as PDF, the same bytes for the same proposal, result and options.

    Raises
    ------
    ValueError
        If the result was made of another machine, rulebook or criteria than the proposal.
    """
    made_of = (result.machine_tag, result.rulebook_version, result.criteria_digest)
    here = (
        str(proposal.machine.get("tag") or ""),
        proposal.rulebook_version,
        proposal.criteria_digest,
    )
    if made_of != here:
        raise ValueError(f"The result was made of {made_of}, the proposal is {here}: run the bench again.")
    block = title_block(proposal, options, TITLE)
    notes = (_CAUTION, *sheet_notes(proposal)[:1])
    book = Book(options, block, notes, subject="Protective functions tried on synthetic signals", cover=True)
    _summary(book, result)
    _matrix(book, result)
    _failures(book, result)
    _delays(book, result)
    _settings(book, result)
    by_place = {(cell.function, cell.scenario): cell for cell in result.cells}
    titles = {each.key: each.title for each in result.scenarios}
    for plot in result.plots:
        _sheet(book, plot, by_place.get((plot.function, plot.scenario)), titles[plot.scenario])
    return book.finish(lambda cover: draw_cover(cover, proposal, block))


def cell_text(cell: Cell) -> str:
    """Return a cell as shape and word."""
    if cell.verdict == "does_not_apply":
        return "–"
    if cell.verdict == "not_evaluated":
        return f"{OPEN} open"
    if cell.verdict in _FAILS:
        return f"{BAR} {_FAILS[cell.verdict]}"
    governing = next(case for case in cell.cases if case.case == cell.governing)
    return f"{HALF if cell.tight else FULL} {_ACTS[governing.happened]}"


def _summary(book: Book, result: BenchResult) -> None:
    book.section("What was tried", landscape=False)
    counts = result.counts
    failed = sum(counts.get(name, 0) for name in ("missed", "needless", "late"))
    tried = failed + counts.get("as_it_should", 0)
    tight = sum(cell.tight for cell in result.cells)
    book.paragraph(
        f"{len(result.functions)} functions in {len(result.scenarios)} scenarios: {tried} pairs tried, "
        f"{failed} not as it should, {tight} near their turn, {counts.get('not_evaluated', 0)} not tried for "
        f"want of an input. Seed of the noise: {result.seed}.",
        font=BOLD,
    )
    for limit in result.limits:
        book.paragraph(limit, after=2)
    book.heading("Scenarios", with_next=60)
    rows = [
        (str(index), each.title, prose(each.text)) for index, each in enumerate(result.scenarios, start=1)
    ]
    set_table(
        book,
        Table(
            (Column("No.", "right"), Column("Scenario", bold=True), Column("What happens", widest=330)), rows
        ),
    )


def _matrix(book: Book, result: BenchResult) -> None:
    book.section("Functions by scenarios", landscape=True, with_next=160)
    book.paragraph(f"{_LEGEND}. Numbers of the scenarios as listed.", size=7.2)
    known = {(cell.function, cell.scenario): cell for cell in result.cells}
    rows = [
        (function.key, *(cell_text(known[function.key, each.key]) for each in result.scenarios))
        for function in result.functions
    ]
    columns = (
        Column("Function", repeat=True, bold=True),
        *(Column(str(index)) for index in range(1, len(result.scenarios) + 1)),
    )
    set_table(book, Table(columns, rows, size=6.2))
    needs: dict[str, list[str]] = {}
    for cell in result.cells:
        if cell.needs:
            needs.setdefault(cell.needs, []).append(cell.function)
    if needs:
        book.heading("Not tried, because an input is missing", with_next=40)
        table = [(need, ", ".join(dict.fromkeys(functions))) for need, functions in sorted(needs.items())]
        set_table(book, Table((Column("Needs", bold=True), Column("Functions", widest=520)), table))


def _failures(book: Book, result: BenchResult) -> None:
    titles = {each.key: each.title for each in result.scenarios}
    rows = []
    for cell in result.cells:
        if cell.verdict in _FAILS:
            texts = [prose(case.text) for case in cell.cases if case.verdict in _FAILS]
            rows.append(
                (cell.function, titles[cell.scenario], f"{BAR} {_FAILS[cell.verdict]}", " ".join(texts))
            )
    book.section("Not as it should", landscape=True, with_next=90)
    if not rows:
        book.paragraph("Nothing: every combination that was tried came out as it should.")
        return
    columns = (
        Column("Function", bold=True),
        Column("Scenario"),
        Column("Verdict"),
        Column("What was tried, what happened, what would mend it", widest=470),
    )
    set_table(book, Table(columns, rows))


def _seconds(value: float | None) -> str:
    return NONE if value is None else f"{value:.2f} s"


def _delays(book: Book, result: BenchResult) -> None:
    if not result.delays:
        return
    book.section("Delay against time to trip", landscape=True, with_next=110)
    book.paragraph(
        "The shortest delay is found by search: it stays quiet in every scenario in which the function "
        "must. A shorter delay than proposed is no proposal to shorten it: only what was tried is proved."
    )
    columns = (
        Column("Function", bold=True),
        Column("Proposed", "right"),
        Column("Shortest quiet", "right"),
        Column("Delay tried, time to act on the plain step", widest=330),
        Column("What disturbs shorter ones", widest=170),
    )
    set_table(book, trimmed(columns, [_delay_row(line) for line in result.delays]))
    proofs = [(line.function, line.rejection) for line in result.delays if line.rejection is not None]
    if not proofs:
        return
    book.heading("Rejection of spikes hides no real step", with_next=70)
    rows = [
        (
            function,
            _seconds(proof.step_with_s),
            _seconds(proof.step_without_s),
            _seconds(proof.step_amid_spikes_s),
            words(_ACTS[proof.spikes_without]),
            f"{BAR} hides a step" if proof.hides_a_real_step else f"{FULL} hides none",
        )
        for function, proof in proofs
    ]
    headings = (
        Column("Function", bold=True),
        Column("Step, rejection on", "right"),
        Column("Step, rejection off", "right"),
        Column("Step amid spikes, on", "right"),
        Column("Spikes alone, off"),
        Column("Verdict"),
    )
    set_table(book, Table(headings, rows))


def _delay_row(line: DelayLine) -> tuple[str, ...]:
    tried = "; ".join(
        f"{number(trial.delay_s)} s: {_seconds(trial.time_to_trip_s)}{'' if trial.quiet else f' {BAR}'}"
        for trial in line.trials
    )
    by = list(dict.fromkeys(name for trial in line.trials for name in trial.disturbed_by))
    return (
        line.function,
        _seconds(line.proposed_s),
        _seconds(line.shortest_quiet_s) if line.shortest_quiet_s is not None else "none tried",
        tried,
        ", ".join(words(name) for name in by) or NONE,
    )


def _settings(book: Book, result: BenchResult) -> None:
    book.section("Properties of the chain as taken", landscape=False, with_next=120)
    rows = [
        (
            each.text,
            NONE if each.value is None else prose(f"{number(each.value)} {each.unit}".removesuffix(" 1")),
            each.source,
            "told" if each.status == "told" else f"{each.status}{status_mark(each.status)}",
        )
        for each in result.settings
    ]
    columns = (
        Column("Property", bold=True, widest=190),
        Column("Value"),
        Column("From", widest=140),
        Column("Status"),
    )
    set_table(book, Table(columns, rows))


def _sheet(book: Book, plot: Plot, cell: Cell | None, title: str) -> None:
    book.section(f"{title}, {plot.function}", landscape=False, new_sheet=True)
    cases: Iterable[Sequence[str]] = ()
    if cell is not None:
        ordered = sorted(cell.cases, key=lambda case: case.case != plot.case)
        cases = [(case.case, prose(case.text)) for case in ordered]
    for name, text in cases:
        drawn = " (drawn)" if name == plot.case else ""
        book.paragraph(f"{name[:1].upper()}{name[1:]}{drawn}: {text}", after=3)
    set_scene(book, signal_plot_scene(plot, _PLOT_MM))
