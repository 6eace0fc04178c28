"""What an import keeps between its steps: the sheet as read, and what the columns of such sheets mean."""

from typing import Any

from django.conf import settings
from django.db import models

from specapp.projects.models import Project

LONGEST_HEADING = 200


class StagedSheet(models.Model):
    """A machine list that a person has brought and not yet confirmed: one of a person in each project.

    `sheets` are those of the file as read, each with name, whether hidden, rows of cells and, where it was
    too large, why it is not read; a cell that cannot be read is an object of what was found and what is
    allowed. `sheet` is the one of the machines, `head_row` the row of its headings, counted from 1, 0 for
    the likeliest. `meanings` is what the person says of columns whose heading is no field's path.
    """

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="+")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    name = models.CharField(max_length=200)
    sheets = models.JSONField(default=list)
    sheet = models.PositiveSmallIntegerField(default=0)
    head_row = models.PositiveIntegerField(default=0)
    meanings = models.JSONField(default=dict)
    brought_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["project", "person"], name="staged_sheet_once")]

    def __str__(self) -> str:
        return self.name

    @property
    def grid(self) -> list[list[Any]]:
        """The rows of the sheet of machines."""
        return self.sheets[self.sheet]["grid"]


class ColumnMeaning(models.Model):
    """Which field a column of that heading holds in the sheets of a project; no path: it is left out."""

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="+")
    heading = models.CharField(max_length=LONGEST_HEADING)
    path = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["heading"]
        constraints = [models.UniqueConstraint(fields=["project", "heading"], name="column_meaning_once")]

    def __str__(self) -> str:
        return f"{self.heading}: {self.path or 'left out'}"
