"""The report of a comparison, made from what stands in the database and kept with the recommendation."""

from datetime import datetime

from specapp.bids.comparing import evaluated
from specapp.bids.models import Enquiry, KeptReport, ReportKind, StageSignature
from specapp.bids.presenting.report import purchase_of, report_of
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.documents.bid_report import BidReport, render_pdf, render_workbook
from specapp.documents.options import Options
from specapp.evaluation.evaluation import figures_checksum
from specapp.revisions.content import bytes_of, stored

WORKING = "working copy"


def report_file(enquiry: Enquiry, kind: str, now: datetime) -> bytes:
    """Return the report of an enquiry whose prices are open; `kind` is pdf or xlsx.

    From the recommendation on it is the one that was kept then, byte for byte; until then, and where none was
    kept, a working copy that says so. Raises `InputErrors` where the rules and the offers do not fit.
    """
    kept = KeptReport.objects.filter(enquiry=enquiry, kind=kind).first()
    if kept is not None:
        return bytes_of(kept.file_id)
    options = Options(project=str(enquiry.project), watermark=WORKING.upper())
    found = evaluated(enquiry)
    return _rendered(
        report_of(enquiry, found, f"{WORKING}, {enquiry.get_stage_display()}", now), kind, options
    )


def reports_keep(*, enquiry: Enquiry, author: User, now: datetime) -> list[KeptReport]:
    """Make the report of an enquiry just recommended, as PDF and workbook, and keep both for good.

    The caller signs the recommendation in the same transaction. Raises `InputErrors` where the rules and the
    offers do not fit: what cannot be evaluated is not recommended.
    """
    found = evaluated(enquiry)
    report = report_of(enquiry, found, enquiry.get_stage_display(), now)
    options = Options(project=str(enquiry.project))
    figures = figures_checksum(found[2])
    kept = [
        KeptReport.objects.create(
            enquiry=enquiry,
            kind=kind,
            file=stored(_rendered(report, kind, options)),
            figures=figures,
            made_at=now,
            made_by=author,
            made_by_name=author.get_full_name()[:200],
        )
        for kind in ReportKind.values
    ]
    entry_append(
        author=author,
        action="enquiry.report",
        subject=enquiry,
        now=now,
        project_id=enquiry.project_id,
        data={"figures": figures, **{row.kind: row.file_id for row in kept}},
    )
    return kept


def _rendered(report: BidReport, kind: str, options: Options) -> bytes:
    return render_pdf(report, options) if kind == ReportKind.PDF else render_workbook(report, options)


def purchase_file(enquiry: Enquiry, award: StageSignature) -> bytes:
    """Return what was purchased with its deviations, as PDF."""
    return render_pdf(purchase_of(enquiry, award), Options(project=str(enquiry.project)))
