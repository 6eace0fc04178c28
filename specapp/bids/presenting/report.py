"""The report of a comparison as tables, from what stands in the database."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils import timezone

from specapp.bids.awarding import bought
from specapp.bids.comparing import Compared, disputes
from specapp.bids.judging import sheet_in_force
from specapp.bids.models import Clarification, Enquiry, Stage, StageSignature
from specapp.bids.presenting.comparison import deviations, lines_of
from specapp.bids.presenting.evaluation import build_up, nobody_quoted, open_lines, summary
from specapp.bids.presenting.prices import assumptions, options, parts_of, terms_told, two_year_spares
from specapp.documents.bid_report import BidReport, ReportTable
from specapp.evaluation.bids import Bids
from specapp.evaluation.evaluation import Evaluation
from specapp.evaluation.sensitivity import sensitivities

_SIGNING = ("Technical evaluation", "Commercial evaluation", "Approved")


def report_of(
    enquiry: Enquiry, compared_offers: tuple[Compared, Bids, Evaluation], standing: str, now: datetime
) -> BidReport:
    """Return the report of an evaluation; `standing` says what it is: a working copy, or a stage."""
    found, bids, evaluation = compared_offers
    invented = "invented, " if enquiry.project.is_invented else ""
    machines = found.sheet.asked.machines
    signatures = list(enquiry.signatures.select_related("offer__bidder").order_by("pk"))
    return BidReport(
        reference=enquiry.reference,
        title=enquiry.title,
        project=str(enquiry.project),
        machines=", ".join(machines) if len(machines) < 4 else f"{len(machines)} machines",
        date=_day(enquiry, now),
        standing=f"{invented}{standing}",
        prepared=next((row.person_name for row in signatures if row.stage == Stage.RECOMMENDED), ""),
        summary=(
            *_recommended(signatures, evaluation),
            summary(evaluation),
            f"Rules frozen before closing: {found.sheet.method}; currency {evaluation.currency}.",
            *(f"Nobody quoted: {item}." for item in nobody_quoted(bids)),
            *found.unrated,
            *open_lines(evaluation),
        ),
        tables=(
            _ranking(evaluation),
            _compliance(enquiry, found),
            _price(evaluation, found),
            _assumptions(bids, evaluation),
            *_apart(found, evaluation.currency),
            _sensitivity(bids, found),
            _deviations(enquiry, found),
            _clarifications(enquiry),
            _signed(signatures),
        ),
        signing=_SIGNING,
    )


def purchase_of(enquiry: Enquiry, award: StageSignature) -> BidReport:
    """Return what was purchased with its deviations."""
    lines = bought(enquiry, award)
    on = _day(enquiry, award.at)
    invented = "invented, " if enquiry.project.is_invented else ""
    rows = [(row.key, row.asked, row.offered, row.origin, row.standing, row.decided) for row in lines]
    deviating = [row for row, line in zip(rows, lines, strict=True) if line.deviates]
    columns = ("Requirement", "Asked", "Offered", "From", "Stands", "Decided")
    return BidReport(
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


def _day(enquiry: Enquiry, moment: datetime) -> str:
    return timezone.localdate(moment, ZoneInfo(enquiry.project.time_zone)).isoformat()


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


def _price(evaluation: Evaluation, found: Compared) -> ReportTable:
    offers = [each.name for each in evaluation.bidders if each.lines]
    rows = []
    for line in build_up(evaluation, parts_of(found)):
        how = "; ".join(
            f"{name}: {cell.how}{f'; by the rule {cell.by_rule}' if cell.by_rule else ''}"
            for name, cell in zip(offers, line.cells, strict=True)
            if cell.is_filled_in
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


def _assumptions(bids: Bids, evaluation: Evaluation) -> ReportTable:
    rows = [(each.what, each.value, each.source) for each in assumptions(bids, evaluation)]
    columns = ("Assumption", "Taken", "Source")
    return ReportTable("Assumptions", "What the prices and the ranking rest on", "", columns, tuple(rows))


def _apart(found: Compared, currency: str) -> list[ReportTable]:
    """Return what offers list apart: options, spares for two years, terms in words."""
    columns = ("Offer", "What", "Quantity", "Unit price", "Total", f"Total, {currency}")
    note = "Listed as quoted; in no total and in no ranking."
    tables = [
        ReportTable(
            name,
            title,
            note,
            columns,
            tuple(
                (row.offer, row.what, row.quantity, row.unit_price, row.total, row.compared) for row in rows
            ),
        )
        for name, title, rows in (
            ("Options", "Options", options(found)),
            ("Two-year spares", "Spares for two years", two_year_spares(found)),
        )
    ]
    told = ("Offer", "Price basis", "Payment", "Price is valid until")
    return [*tables, ReportTable("Terms", "Terms in the bidders' words", "", told, tuple(terms_told(found)))]


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


def _recommended(signatures: list[StageSignature], evaluation: Evaluation) -> list[str]:
    """Return what is recommended, by whom and in which words, and whether it is what leads the ranking."""
    rows = evaluation.rankings[0].rows if evaluation.rankings else ()
    leads = {each.name for each in rows if each.rank == 1}
    return [
        f"Recommended: {row.offer}, by {row.person_name}, {_day(row.enquiry, row.at)}. {row.text}".strip()
        + ("" if str(row.offer) in leads else " The offer recommended does not lead the ranking.")
        for row in signatures
        if row.stage == Stage.RECOMMENDED
    ]


def _signed(signatures: list[StageSignature]) -> ReportTable:
    rows = [
        (
            Stage(row.stage).label,
            "" if row.offer is None else str(row.offer),
            row.person_name,
            _day(row.enquiry, row.at),
            row.text,
        )
        for row in signatures
    ]
    return ReportTable("Signed", "Stages signed", "", ("Stage", "Offer", "Who", "When", "Words"), tuple(rows))
