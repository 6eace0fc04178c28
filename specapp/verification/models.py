"""Runs of the signal bench, kept as they were made.

Rows are sealed by triggers of the database (migration 0002): a run is never changed and never deleted.
"""

from django.conf import settings
from django.db import models

from specapp.projects.models import Machine
from specapp.revisions.models import Revision, StoredFile

_USER = settings.AUTH_USER_MODEL


class BenchRun(models.Model):
    """One finished run: the proposal it was made of, bench/1 that came of it, and the report printed then.

    `revision` is None for a run of the working state, whose `machine_version` says which. `model` is the
    version of the bench that made it; a later one draws no pictures of it.
    """

    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="bench_runs")
    revision = models.ForeignKey(
        Revision, on_delete=models.PROTECT, null=True, blank=True, related_name="bench_runs"
    )
    number = models.PositiveIntegerField()
    machine_version = models.PositiveIntegerField()
    seed = models.PositiveIntegerField()
    told = models.JSONField(default=dict)
    model = models.CharField(max_length=20)
    proposal = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    result = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    report = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    functions = models.PositiveIntegerField()
    scenarios = models.PositiveIntegerField()
    counts = models.JSONField(default=dict)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    made_by_name = models.CharField(max_length=200)

    class Meta:
        ordering = ["-number"]
        constraints = [models.UniqueConstraint(fields=["machine", "number"], name="bench_run_number_once")]

    def __str__(self) -> str:
        return f"bench run {self.number} of {self.machine}"

    @property
    def made_of(self) -> str:
        """What the run was made of, in words."""
        return f"revision {self.revision.label}" if self.revision else f"working, v{self.machine_version}"
