"""Counts of attempts and of expensive requests, each over a stretch of time."""

from django.db import models


class CountedWindow(models.Model):
    """How often something was asked for since its window began. Of who and what only a digest is kept."""

    key = models.CharField(max_length=64, unique=True)
    began_at = models.DateTimeField(db_index=True)
    count = models.PositiveIntegerField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.count} since {self.began_at:%Y-%m-%d %H:%M:%S}"
