"""The report of an evaluation as it stood when the recommendation was signed."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from specapp.bids.models.enquiries import Enquiry
from specapp.revisions.models import StoredFile


class ReportKind(models.TextChoices):
    PDF = "pdf", "PDF"
    XLSX = "xlsx", "XLSX"


class KeptReport(models.Model):
    """A report in one kind of file, made once with the recommendation; its bytes are never made again.

    `figures` is the checksum of the amounts and places it states, so that a page that works them out anew
    can tell whether they are still the same.
    """

    enquiry = models.ForeignKey(Enquiry, on_delete=models.PROTECT, related_name="reports")
    kind = models.CharField(max_length=4, choices=ReportKind)
    file = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    figures = models.CharField(max_length=64)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made_by_name = models.CharField(max_length=200)

    class Meta:
        ordering = ["kind"]
        constraints = [
            models.UniqueConstraint(fields=["enquiry", "kind"], name="evaluation_report_once"),
            models.CheckConstraint(condition=Q(kind__in=ReportKind.values), name="evaluation_report_kind"),
        ]

    def __str__(self) -> str:
        return f"{self.enquiry}, report of the evaluation as {self.get_kind_display()}"
