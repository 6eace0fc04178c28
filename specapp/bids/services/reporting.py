"""The report of a comparison, put together from what stands in the database."""

from zoneinfo import ZoneInfo

from django.utils import timezone

from specapp.bids.awarding import bought
from specapp.bids.comparing import Compared, disputes, evaluated
from specapp.bids.judging import sheet_in_force
from specapp.bids.models import Clarification, Enquiry, Stage, StageSignature
from specapp.bids.presenting.comparison import deviations, lines_of
from specapp.bids.presenting.evaluation import build_up, nobody_quoted, open_lines, summary
from specapp.documents.bid_report import BidReport, ReportTable, render_pdf, render_workbook
from specapp.documents.options import Options
from specapp.evaluation.bids import Bids
from specapp.evaluation.evaluation import Evaluation
from specapp.evaluation.sensitivity import sensitivities

KINDS = {"pdf": render_pdf, "xlsx": render_workbook}
_SIGNING = ("Technical evaluation", "Commercial evaluation", "Approved")


def report_file(enquiry: Enquiry, kind: str) -> bytes:
    """Return the report of an enquiry whose prices are open; `kind` is pdf or xlsx.

    Raises `InputErrors` where the rules and the offers do not fit.
    """
    return KINDS[kind](report_of(enquiry), Options(project=str(enquiry.project)))


def report_of(enquiry: Enquiry) -> BidReport:
    found, bids, evaluation = evaluated(enquiry)
    invented = "invented, " if enquiry.project.is_invented else ""
    machines = found.sheet.asked.machines
    on = timezone.now().astimezone(ZoneInfo(enquiry.project.time_zone)).date()
    return BidReport(
        reference=enquiry.reference,
        title=enquiry.title,
        project=str(enquiry.project),
        machines=", ".join(machines) if len(machines) < 4 else f"{len(machines)} machines",
        date=on.isoformat(),
        standing=f"{invented}{enquiry.get_stage_display()}",
        prepared="",
        summary=(
            summary(evaluation),
            f"Rules frozen before closing: {found.sheet.method}; currency {evaluation.currency}.",
            *(f"Nobody quoted: {item}." for item in nobody_quoted(bids)),
            *found.unrated,
            *open_lines(evaluation),
        ),
        tables=(
            _ranking(evaluation),
            _compliance(enquiry, found),
            _price(evaluation),
            _sensitivity(bids, found),
            _deviations(enquiry, found),
            _clarifications(enquiry),
            _signed(enquiry),
        ),
        signing=_SIGNING,
    )


def purchase_file(enquiry: Enquiry, award: StageSignature) -> bytes:
    """Return what was purchased with its deviations, as PDF."""
    lines = bought(enquiry, award)
    on = award.at.astimezone(ZoneInfo(enquiry.project.time_zone)).date().isoformat()
    invented = "invented, " if enquiry.project.is_invented else ""
    rows = [(row.key, row.asked, row.offered, row.origin, row.standing, row.decided) for row in lines]
    deviating = [row for row, line in zip(rows, lines, strict=True) if line.deviates]
    columns = ("Requirement", "Asked", "Offered", "From", "Stands", "Decided")
    report = BidReport(
        reference=enquiry.reference,
        title=enquiry.title,
        project=str(enquiry.project),
        machines=", ".join(sheet_in_force(enquiry).asked.machines),
        date=on,
        standing=f"{invented}as purchased",
        prepared=award.person_name,
        summary=(f"Offer: {award.offer}. Awarded {on} by {award.person_name}.",),
        tables=(
            ReportTable("Deviations", "Deviations", "", columns, tuple(deviating)),
            ReportTable("As purchased", "What was purchased", "", columns, tuple(rows)),
        ),
        signing=(),
        name="Specification as purchased",
    )
    return render_pdf(report, Options(project=str(enquiry.project)))


def _ranking(evaluation: Evaluation) -> ReportTable:
    rows = evaluation.rankings[0].rows if evaluation.rankings else ()
    ranks = {row.name: row.rank for row in rows}
    placed = sorted(evaluation.bidders, key=lambda each: (ranks.get(each.name, len(ranks) + 1), each.name))
    return ReportTable(
        "Ranking",
        "Ranking",
        "An offer without a place says why.",
        (
            "Offer",
            "Place",
            f"Evaluated, {evaluation.currency}",
            "As read",
            "Technical score",
            "No place because",
        ),
        tuple(
            (
                each.name,
                ranks.get(each.name),
                each.evaluated,
                each.as_read,
                None if each.technical is None else f"{each.technical:.1f}",
                each.unranked_because,
            )
            for each in placed
        ),
    )


def _compliance(enquiry: Enquiry, found: Compared) -> ReportTable:
    names = tuple(str(each.offer) for each in found.offers)
    rows = [
        (
            line.requirement.id,
            f"{line.requirement.title}: {line.criterion}",
            "must" if line.requirement.knock_out else "",
            *(f"{cell.shape} {cell.standing}{', decided' if cell.is_decided else ''}" for cell in line.cells),
        )
        for line in lines_of(enquiry, found)
    ]
    return ReportTable(
        "Compliance",
        "Compliance",
        "Proposed by the check until a person decides.",
        ("Requirement", "Asked", "Must", *names),
        tuple(rows),
    )


def _price(evaluation: Evaluation) -> ReportTable:
    offers = [each.name for each in evaluation.bidders if each.lines]
    rows = []
    for line in build_up(evaluation):
        how = "; ".join(
            f"{name}: {cell.how}" for name, cell in zip(offers, line.cells, strict=True) if cell.is_filled_in
        )
        rows.append(
            (line.title, *(cell.text if cell.value is None else cell.value for cell in line.cells), how)
        )
    return ReportTable(
        "Price build-up",
        "From the price as read to the evaluated price",
        f"In {evaluation.currency}. The last column says what was taken for what a bidder did not give.",
        ("Line", *offers, "Loaded"),
        tuple(rows),
    )


def _sensitivity(bids: Bids, found: Compared) -> ReportTable:
    return ReportTable(
        "Sensitivities",
        "What would turn the ranking",
        "Sensitivity, no verdict: each assumption moved alone; what a bidder quoted is never moved.",
        ("Assumption", "Moved", "Then leads", "Turns"),
        tuple(
            (each.what, each.moved, each.leads or "nobody", "turns" if each.turns else "stays")
            for each in sensitivities(bids, list(disputes(found)))
        ),
    )


def _deviations(enquiry: Enquiry, found: Compared) -> ReportTable:
    rows = [
        (name, key, text, why) for name, listed in deviations(enquiry, found) for key, text, why in listed
    ]
    return ReportTable("Deviations", "Deviations", "", ("Offer", "Requirement", "What", "Why"), tuple(rows))


def _clarifications(enquiry: Enquiry) -> ReportTable:
    asked = Clarification.objects.filter(bidder__enquiry=enquiry).select_related("bidder")
    rows = [
        (f"{row.bidder.name} {row.number}", row.requirement, row.question, row.answer or "not answered")
        for row in asked.order_by("bidder__name", "number")
    ]
    columns = ("Bidder, number", "Requirement", "Question", "Answer")
    return ReportTable("Clarifications", "Clarifications", "", columns, tuple(rows))


def _signed(enquiry: Enquiry) -> ReportTable:
    rows = [
        (Stage(row.stage).label, row.person_name, row.at.date().isoformat(), row.text)
        for row in StageSignature.objects.filter(enquiry=enquiry).order_by("pk")
    ]
    return ReportTable("Signed", "Stages signed", "", ("Stage", "Who", "When", "Words"), tuple(rows))
