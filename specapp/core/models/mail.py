"""What a person was told by mail."""

from django.conf import settings
from django.db import models


class ToldAsk(models.Model):
    """A person was told at once that a signature or an answer is asked of him or her; told once."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=80)
    told_at = models.DateTimeField(db_index=True)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["person", "key"], name="told_ask_once")]

    def __str__(self) -> str:
        return f"{self.person} was told of {self.key}"
