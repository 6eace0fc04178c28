"""Requirements by bidders: what each offer says to each, with a word and a shape for how it stands."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import reverse

from specapp.bids.comparing import Compared
from specapp.bids.models import Enquiry
from specapp.evaluation.replies.offer import Standing
from specapp.evaluation.requirements.criterion import criterion_text
from specapp.evaluation.requirements.requirement import Requirement, group_title

SHAPES: dict[Standing, str] = {
    "comply": "●",
    "with comment": "◐",
    "partial": "◑",
    "deviate": "■",
    "no reply": "○",
}
FILTERS = {
    "all": "all",
    "differ": "offers differ",
    "deviate": "not complying",
    "clarify": "to be clarified",
    "must": "knock-outs",
}


@dataclass(frozen=True, slots=True)
class Cell:
    """What one offer says to one requirement."""

    shape: str
    standing: Standing
    offered: str
    address: str
    is_decided: bool
    question: str


@dataclass(frozen=True, slots=True)
class Line:
    """One requirement with a cell of each offer; `kinds` are the filters that show it."""

    requirement: Requirement
    criterion: str
    cells: tuple[Cell, ...]
    kinds: frozenset[str]


@dataclass(frozen=True, slots=True)
class Group:
    title: str
    factors: tuple[str, ...]
    lines: tuple[Line, ...]


def lines_of(enquiry: Enquiry, found: Compared) -> list[Line]:
    """Return every requirement of the sheet with what each offer says to it."""
    columns = [_column(enquiry, found, place) for place in range(len(found.offers))]
    return [
        _line(requirement, tuple(column[row] for column in columns))
        for row, requirement in enumerate(found.sheet.asked.requirements)
    ]


def _column(enquiry: Enquiry, found: Compared, place: int) -> list[Cell]:
    each = found.offers[place]
    replies = {row.requirement: row for row in each.technical.replies}
    decided = {row.requirement for row in each.offer.decisions.all() if row.agreed}
    # One address worked out, the rest put together: hundreds of look-ups take longer than the page.
    base = reverse("bids:offer-show", args=[enquiry.project_id, enquiry.pk, each.offer.pk]) + "replies/"
    cells = []
    for requirement, judgement in zip(found.sheet.asked.requirements, each.check.judgements, strict=True):
        reply = replies.get(requirement.id)
        standing = each.standings[requirement.id]
        said = "" if reply is None else ": ".join(text for text in (reply.claim, reply.offered) if text)
        is_decided = requirement.id in decided
        question = "" if is_decided else judgement.question
        cells.append(Cell(SHAPES[standing], standing, said, f"{base}{requirement.id}/", is_decided, question))
    return cells


def _line(requirement: Requirement, cells: tuple[Cell, ...]) -> Line:
    kinds = {"all"}
    standings = {cell.standing for cell in cells}
    if len(standings) > 1 or len({cell.offered for cell in cells}) > 1:
        kinds.add("differ")
    if standings - {"comply", "with comment"}:
        kinds.add("deviate")
    if any(cell.question for cell in cells):
        kinds.add("clarify")
    if requirement.knock_out:
        kinds.add("must")
    return Line(requirement, criterion_text(requirement.criterion), cells, frozenset(kinds))


def groups_of(found: Compared, lines: list[Line], shown: str) -> Iterator[Group]:
    """Yield the groups that have a line shown, with the factor of each offer."""
    by_group: dict[str, list[Line]] = {}
    for line in lines:
        if shown in line.kinds:
            by_group.setdefault(line.requirement.group, []).append(line)
    for key, rows in by_group.items():
        factors = tuple(f"{each.factors.get(key, 0):.2f}" for each in found.offers)
        yield Group(group_title(key), factors, tuple(rows))


def deviations(enquiry: Enquiry, found: Compared) -> list[tuple[str, list[tuple[str, str, str]]]]:
    """Return, by offer, its own deviations and every requirement that it does not meet."""
    titles = {each.id: each.title for each in found.sheet.asked.requirements}
    listed = []
    for each in found.offers:
        told = [
            (row.requirement or "its own list", row.text, row.reason or "no reason given")
            for row in each.technical.deviations
        ]
        evidence = {row.requirement: row.evidence for row in each.check.judgements}
        told += [
            (key, titles[key], "; ".join(evidence.get(key, ())) or standing)
            for key, standing in each.standings.items()
            if standing in ("deviate", "partial")
        ]
        listed.append((str(each.offer), told))
    return listed
