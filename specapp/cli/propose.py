"""`propose`: a description in, the proposal out; or a list of them, one line of JSON a machine."""

from __future__ import annotations

from argparse import ArgumentTypeError, Namespace
from collections.abc import Sequence
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import cast

from specapp.cli.arguments import Arguments
from specapp.cli.description_files import is_list, read_description
from specapp.cli.results_folder import folder_problem, write_results
from specapp.cli.strictness import check_status
from specapp.cli.summary import summary
from specapp.cli.terminal import Refusal, write_out
from specapp.criteria.loader import CriteriaSet
from specapp.documents.options import Options
from specapp.domain.problems import InputErrors, Problem
from specapp.domain.proposal import proposal_bytes
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
        # Imported only for a list: tables and work on several processors are slow to load.
        return cast(int, import_module("specapp.cli.fleet").propose_list(options, criteria))
    return _one(options, criteria, problems)


def _arguments() -> Arguments:
    parser = Arguments(prog="propose", description=_ABOUT)
    parser.add_argument(
        "files", nargs="+", metavar="FILE", help="a description, a folder or a list; - reads one"
    )
    parser.add_argument(
        "--format", choices=("json", "text"), default="json", help="text: a one-screen summary"
    )
    parser.add_argument(
        "--out", type=_folder, metavar="DIR", help="also write every document into this folder"
    )
    parser.add_argument("--criteria", metavar="FILE", help="TOML of [[criterion]] with key, value and reason")
    parser.add_argument(
        "--display-units", choices=("si", "us"), help="show values in these units beside their own"
    )
    parser.add_argument("--strict", action="store_true", help="exit status 1 where a check fails")
    return parser


def _folder(text: str) -> Path:
    # An empty text, as from a variable that is not set, would mean the folder one happens to be in.
    if not text.strip():
        raise ArgumentTypeError("no name of a folder")
    return Path(text)


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
    return check_status(proposal, options.strict)
