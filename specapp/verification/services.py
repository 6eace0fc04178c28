"""Keeping a run of the signal bench, with everything it rests on and its report."""

from collections.abc import Mapping
from datetime import datetime

import msgspec
from django.db import transaction
from django.db.models import Max

from specapp.bench import MODEL_VERSION
from specapp.bench.result import BenchResult, bench_bytes
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.documents.bench_report import render
from specapp.documents.options import NOT_ISSUED, Options
from specapp.domain.proposal import Proposal
from specapp.projects.models import Machine
from specapp.revisions.content import stored
from specapp.revisions.models import Revision
from specapp.verification.models import BenchRun


@transaction.atomic
def bench_run_keep(
    *,
    machine: Machine,
    revision: Revision | None,
    proposal: Proposal,
    result: BenchResult,
    told: Mapping[str, float],
    author: User,
    now: datetime,
) -> BenchRun:
    """Keep a finished run under the next number of its machine, and print its report once."""
    locked = Machine.objects.select_for_update().get(pk=machine.pk)
    last = BenchRun.objects.filter(machine=locked).aggregate(last=Max("number"))["last"] or 0
    report = render(proposal, result, _options(machine, revision, last + 1, author))
    run = BenchRun.objects.create(
        machine=locked,
        revision=revision,
        number=last + 1,
        machine_version=revision.machine_version if revision else machine.version,
        seed=result.seed,
        told=dict(told),
        model=MODEL_VERSION,
        proposal=stored(msgspec.json.encode(proposal)),
        result=stored(bench_bytes(result)),
        report=stored(report),
        functions=len(result.functions),
        scenarios=len(result.scenarios),
        counts=result.counts,
        made_at=now,
        made_by=author,
        made_by_name=author.get_full_name(),
    )
    entry_append(
        author=author,
        action="bench.run",
        subject=machine,
        now=now,
        project_id=machine.project_id,
        data={
            "run": run.number,
            "of": run.made_of,
            "proposal": run.proposal_id,
            "result": run.result_id,
            "report": run.report_id,
        },
    )
    return run


def _options(machine: Machine, revision: Revision | None, number: int, author: User) -> Options:
    invented = "invented, " if machine.project.is_invented else ""
    standing = f"of revision {revision.label}" if revision else NOT_ISSUED
    return Options(
        project=str(machine.project),
        standing=f"{invented}bench run {number}, {standing}",
        revision=revision.label if revision else "",
        prepared=author.get_full_name(),
    )
