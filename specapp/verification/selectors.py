"""Runs of the signal bench as pages and files read them."""

import hashlib
from dataclasses import dataclass

import msgspec
from django.http import Http404, HttpRequest

from specapp.bench import MODEL_VERSION
from specapp.bench.result import BenchResult, read_bench
from specapp.core.roles import Right
from specapp.domain.proposal import Proposal
from specapp.projects.access import Access, machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.models import Machine
from specapp.revisions.content import bytes_of, content_of
from specapp.revisions.models import Revision, State
from specapp.verification.models import BenchRun


@dataclass(frozen=True, slots=True)
class KeptRun:
    """A run with what it was made of and what came of it; `is_drawn` where this bench can draw it."""

    row: BenchRun
    proposal: Proposal
    result: BenchResult

    @property
    def is_drawn(self) -> bool:
        return self.row.model == MODEL_VERSION


def runs_of(machine: Machine) -> list[BenchRun]:
    return list(BenchRun.objects.filter(machine=machine).select_related("revision"))


def tried_revisions(machine: Machine) -> list[Revision]:
    """Return the revisions that can be tried: frozen or issued, the latest first."""
    return list(Revision.objects.filter(machine=machine).exclude(state=State.CANCELLED))


def run_or_404(
    request: HttpRequest, project_id: int, machine_id: int, number: int
) -> tuple[Access, Machine, BenchRun]:
    """Return a run of a machine under the rules of its project."""
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    row = BenchRun.objects.filter(machine=machine, number=number).select_related("revision").first()
    if row is None:
        raise Http404
    machine.project = access.project
    row.machine = machine
    return access, machine, row


def checksum_now(machine: Machine) -> str:
    """Return the checksum that a run of the working state would keep."""
    return _checksum(machine_proposal(machine))


def is_of_now(row: BenchRun, working: str) -> bool:
    """Tell whether a run was made of what its revision, or the machine (`checksum_now`), still is.

    A revision's content never changes once it is issued; a candidate frozen again is another content.
    """
    if row.revision is None:
        return row.proposal_id == working
    return row.proposal_id == _checksum(content_of(row.revision.checksum).proposal)


def _checksum(proposal: Proposal) -> str:
    return hashlib.sha256(msgspec.json.encode(proposal)).hexdigest()


def kept_run(row: BenchRun) -> KeptRun:
    proposal = msgspec.json.decode(bytes_of(row.proposal_id), type=Proposal)
    return KeptRun(row, proposal, read_bench(bytes_of(row.result_id)))
