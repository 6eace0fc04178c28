"""Lists of machines: read one after the other, answered on every processor, written in their order.

At most a few machines are held at a time, however long the list is.
"""

from __future__ import annotations

import os
import signal
from argparse import Namespace
from collections import deque
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from itertools import islice
from pathlib import Path

from specapp.cli.answers import Job, Outcome, Wanted, answer
from specapp.cli.machine_lists import Told, told_machines
from specapp.cli.progress import Progress
from specapp.cli.results_folder import folder_name
from specapp.cli.terminal import DONE, INPUT_ERROR, write_line, write_out
from specapp.criteria.loader import CriteriaSet
from specapp.domain.machine import MachineDescription
from specapp.domain.problems import InputErrors, Problem, shown
from specapp.domain.reading import read_machine
from specapp.rulebook.proposing import reading_context

# So many machines are answered here before other processes are worth starting.
_ALONE = 24
_MOST_PROCESSES = 4
_AHEAD = 4  # machines waiting for each process

_wanted: Wanted


def propose_list(options: Namespace, criteria: CriteriaSet) -> int:
    """Write a line for each machine and return the worst exit status of all."""
    wanted = Wanted(criteria, options.format == "text", options.display_units, options.strict)
    progress = Progress()
    statuses = {DONE}
    jobs = _Reading(options.out, wanted).jobs(options.files, progress)
    for done, outcome in enumerate(_outcomes(jobs, wanted), start=1):
        progress.clear()
        for line in outcome.lines:
            write_line(line)
        write_out(outcome.out)
        progress.show(done)
        statuses.add(outcome.status)
    progress.clear()
    return max(statuses)


class _Reading:
    """Turns what was found into jobs, or into the outcome that says why there is none."""

    def __init__(self, out: Path | None, wanted: Wanted) -> None:
        self._out = out
        self._context = reading_context(wanted.criteria)
        self._folders: dict[str, str] = {}

    def jobs(self, paths: Sequence[str], progress: Progress) -> Iterator[Job | Outcome]:
        for told, known in told_machines(paths):
            progress.expect(known)
            try:
                machine = self._machine(told)
                yield Job(told.name, machine, self._folder(told, machine.tag))
            except InputErrors as error:
                lines = tuple(f"{told.prefix(problem)}{problem.line()}" for problem in error.problems)
                yield Outcome(INPUT_ERROR, lines=lines)

    def _machine(self, told: Told) -> MachineDescription:
        problems = list(told.problems)
        if told.document is None:
            raise InputErrors(problems)
        try:
            machine = read_machine(told.document, self._context)
        except InputErrors as error:
            # A cell that could not be read leaves its field empty; that it is missing is no second problem.
            refused = {problem.path for problem in problems}
            problems += [problem for problem in error.problems if problem.path not in refused]
            raise InputErrors(problems) from None
        if problems:
            raise InputErrors(problems)
        return machine

    def _folder(self, told: Told, tag: str) -> Path | None:
        if self._out is None:
            return None
        name = folder_name(tag)
        # Without regard to capitals: some file systems take K-1 and k-1 for one folder.
        taken = self._folders.get(name.casefold())
        if taken is not None:
            allowed = f"a tag whose results go to a folder of its own; {taken} has this one"
            raise InputErrors([Problem("tag", shown(tag), allowed)])
        self._folders[name.casefold()] = f"{told.name} (row {told.row.number})" if told.row else told.name
        return self._out / name


def _outcomes(jobs: Iterator[Job | Outcome], wanted: Wanted) -> Iterator[Outcome]:
    for job in islice(jobs, _ALONE):
        yield job if isinstance(job, Outcome) else answer(job, wanted)
    processes = min(_processors(), _MOST_PROCESSES)
    if processes == 1:
        yield from (job if isinstance(job, Outcome) else answer(job, wanted) for job in jobs)
        return
    first = next(jobs, None)
    if first is None:
        return
    with ProcessPoolExecutor(processes, initializer=_prepare_process, initargs=(wanted,)) as pool:
        waiting: deque[Future[Outcome] | Outcome] = deque()
        try:
            for job in _with_first(first, jobs):
                waiting.append(job if isinstance(job, Outcome) else pool.submit(_answer_in_process, job))
                if len(waiting) > processes * _AHEAD:
                    yield _result(waiting.popleft())
            while waiting:
                yield _result(waiting.popleft())
        finally:
            pool.shutdown(wait=False, cancel_futures=True)


def _with_first(first: Job | Outcome, rest: Iterator[Job | Outcome]) -> Iterator[Job | Outcome]:
    yield first
    yield from rest


def _result(waiting: Future[Outcome] | Outcome) -> Outcome:
    return waiting if isinstance(waiting, Outcome) else waiting.result()


def _processors() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else (os.cpu_count() or 1)


def _prepare_process(wanted: Wanted) -> None:
    global _wanted
    _wanted = wanted
    # An interrupt at the keyboard reaches every process; only the first one answers it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _answer_in_process(job: Job) -> Outcome:
    return answer(job, _wanted)
