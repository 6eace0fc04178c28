"""A run of the bench as the tests keep one: few pairs, so that it is quick."""

from django.utils import timezone

from specapp.bench.running import run_bench
from specapp.projects.deciding.ground import machine_proposal
from specapp.verification.services import bench_run_keep

SCENARIOS = ("step_above_trip", "loss_of_signal")


def kept(machine, *, function="BG/B1/radial", scenarios=SCENARIOS, revision=None, author=None):
    proposal = machine_proposal(machine)
    return bench_run_keep(
        machine=machine,
        revision=revision,
        proposal=proposal,
        result=run_bench(proposal, functions=[function], scenarios=scenarios),
        told={},
        author=author or machine.created_by,
        now=timezone.now(),
    )
