"""One machine of a list: from its checked description to the bytes and lines that are written for it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from specapp.cli.results_folder import write_results
from specapp.cli.strictness import check_status
from specapp.cli.summary import fleet_line
from specapp.cli.terminal import INPUT_ERROR, PROGRAM_FAULT, Refusal, fault_line
from specapp.criteria.loader import CriteriaSet
from specapp.documents.options import DisplayUnits, Options
from specapp.domain.machine import MachineDescription
from specapp.domain.proposal import proposal_bytes
from specapp.rulebook.proposing import propose_description


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is asked of every machine of a list."""

    criteria: CriteriaSet
    text: bool
    display_units: DisplayUnits | None
    strict: bool


@dataclass(frozen=True, slots=True)
class Job:
    """A machine to be answered: the name it came by, its description, the folder for its results."""

    name: str
    machine: MachineDescription
    folder: Path | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What is written for one machine: an exit status, bytes for standard output, lines of problems."""

    status: int
    out: bytes = b""
    lines: tuple[str, ...] = ()


def answer(job: Job, wanted: Wanted) -> Outcome:
    """Propose for one machine. Never raises: one machine must not cost the answers for all others."""
    try:
        proposal = propose_description(job.machine, wanted.criteria)
        if job.folder is not None:
            write_results(proposal, job.folder, Options(display_units=wanted.display_units))
        out = (
            fleet_line(proposal).encode("utf-8", "backslashreplace")
            if wanted.text
            else proposal_bytes(proposal)
        )
        return Outcome(check_status(proposal, wanted.strict), out + b"\n")
    except Refusal as refusal:
        return Outcome(
            INPUT_ERROR, lines=tuple(f"{job.name}: {problem.line()}" for problem in refusal.problems)
        )
    except Exception as error:
        return Outcome(PROGRAM_FAULT, lines=(f"{job.name}: {fault_line(error)}",))
