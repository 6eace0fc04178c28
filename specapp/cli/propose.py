"""`propose`: a description in, the proposal out; or a list of them, one line of JSON a machine."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from specapp.cli.arguments import Arguments
from specapp.cli.machine_lists import Told, is_list, read_description, told_machines
from specapp.cli.progress import Progress
from specapp.cli.results_folder import folder_name, folder_problem, write_results
from specapp.cli.running import fault_line
from specapp.cli.summary import fleet_line, summary
from specapp.cli.terminal import (
    DONE,
    FAILED,
    INPUT_ERROR,
    PROGRAM_FAULT,
    Refusal,
    write_line,
    write_out,
    write_problems,
)
from specapp.criteria.loader import CriteriaSet
from specapp.documents.options import Options
from specapp.domain.context import ReadingContext
from specapp.domain.machine import MachineDescription
from specapp.domain.problems import InputErrors, Problem, shown
from specapp.domain.proposal import Proposal, proposal_bytes
from specapp.domain.reading import read_machine
from specapp.rulebook.proposing import criteria_in_force, propose_description, reading_context

_ABOUT = """Read machine descriptions (machine/1) and write their proposals (proposal/1).
One FILE (or - for standard input) gives one document; several files, a folder, or a list of
machines (.xlsx, .csv) give one line of JSON a machine.
Exit status: 0 done, 1 a check fails (only with --strict), 2 an input error."""


def main(argv: Sequence[str]) -> int:
    """Run the command and return its exit status. Raises Refusal, InputErrors."""
    options = _arguments().parse_args(argv)
    problems: list[Problem] = []
    criteria = _criteria(options.criteria, problems)
    if options.out is not None and (problem := folder_problem(options.out)):
        problems.append(problem)
    if is_list(options.files):
        if problems:
            raise Refusal(problems)
        return _Fleet(options, criteria).run()
    return _one(options, criteria, problems)


def _arguments() -> Arguments:
    parser = Arguments(prog="propose", description=_ABOUT)
    parser.add_argument(
        "files", nargs="+", metavar="FILE", help="a description, a folder or a list; - reads one"
    )
    parser.add_argument(
        "--format", choices=("json", "text"), default="json", help="text: a one-screen summary"
    )
    parser.add_argument("--out", type=Path, metavar="DIR", help="also write every document into this folder")
    parser.add_argument("--criteria", metavar="FILE", help="TOML of [[criterion]] with key, value and reason")
    parser.add_argument(
        "--display-units", choices=("si", "us"), help="show values in these units beside their own"
    )
    parser.add_argument("--strict", action="store_true", help="exit status 1 where a check fails")
    return parser


def _criteria(path: str | None, problems: list[Problem]) -> CriteriaSet:
    """Return the criteria in force; where their file has problems, the defaults, to read on with."""
    if path is None:
        return criteria_in_force()
    name = f'criteria file "{path}"'
    try:
        return criteria_in_force(read_description(path))
    except (InputErrors, Refusal) as error:
        problems += [replace(problem, name=name) for problem in error.problems]
    return criteria_in_force()


def _one(options: Namespace, criteria: CriteriaSet, problems: list[Problem]) -> int:
    try:
        machine = read_machine(read_description(options.files[0]), reading_context(criteria))
    except (InputErrors, Refusal) as error:
        raise Refusal([*error.problems, *problems]) from None
    if problems:
        raise Refusal(problems)
    proposal = propose_description(machine, criteria)
    if options.out is not None:
        write_results(proposal, options.out, Options(display_units=options.display_units))
    if options.format == "text":
        write_out(summary(proposal, options.display_units).encode("utf-8", "backslashreplace"))
    else:
        write_out(proposal_bytes(proposal, indent=True) + b"\n")
    return _status(proposal, options)


def _status(proposal: Proposal, options: Namespace) -> int:
    failed = any(check.result == "fail" for check in proposal.checks)
    return FAILED if options.strict and failed else DONE


class _Fleet:
    """A list of machines: each is read, proposed, written and forgotten before the next."""

    def __init__(self, options: Namespace, criteria: CriteriaSet) -> None:
        self._options = options
        self._criteria = criteria
        self._context: ReadingContext = reading_context(criteria)
        self._documents = Options(display_units=options.display_units)
        self._progress = Progress()
        self._folders: dict[str, str] = {}

    def run(self) -> int:
        statuses = {DONE}
        for done, (told, known) in enumerate(told_machines(self._options.files)):
            self._progress.show(done, known)
            statuses.add(self._machine(told))
        self._progress.clear()
        return max(statuses)

    def _machine(self, told: Told) -> int:
        try:
            return self._proposed(told)
        except (InputErrors, Refusal) as error:
            self._progress.clear()
            for problem in error.problems:
                write_problems([problem], told.prefix(problem))
            return INPUT_ERROR
        except BrokenPipeError:
            raise
        except Exception as error:
            # One machine on which the program fails must not cost the answers for all the others.
            self._progress.clear()
            write_line(f"{told.name}: {fault_line(error)}")
            return PROGRAM_FAULT

    def _proposed(self, told: Told) -> int:
        proposal = propose_description(self._read(told), self._criteria)
        if self._options.out is not None:
            folder = self._own_folder(told, str(proposal.machine["tag"]))
            write_results(proposal, folder, self._documents)
        self._progress.clear()
        if self._options.format == "text":
            write_out(f"{fleet_line(proposal)}\n".encode("utf-8", "backslashreplace"))
        else:
            write_out(proposal_bytes(proposal) + b"\n")
        return _status(proposal, self._options)

    def _read(self, told: Told) -> MachineDescription:
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

    def _own_folder(self, told: Told, tag: str) -> Path:
        name = folder_name(tag)
        # Without regard to capitals: some file systems take K-1 and k-1 for one folder.
        taken = self._folders.get(name.casefold())
        if taken is not None:
            allowed = f"a tag whose results go to a folder of its own; {taken} has this one"
            raise InputErrors([Problem("tag", shown(tag), allowed)])
        self._folders[name.casefold()] = f"{told.name} (row {told.row.number})" if told.row else told.name
        out: Path = self._options.out
        return out / name
