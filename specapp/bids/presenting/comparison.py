"""Requirements by bidders: what each offer says to each, with a word and a shape for how it stands."""

from collections.abc import Iterator
from functools import lru_cache
from html import escape

import msgspec
from django.urls import reverse
from django.utils.safestring import SafeString

from specapp.bids.comparing import Compared
from specapp.bids.models import Enquiry
from specapp.bids.templatetags.enquiry_text import breakable
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


_LONGEST = 90
_breakable = lru_cache(maxsize=2000)(breakable)
_ON_A_PHONE = ' class="on-a-phone"'
_DECIDED = ' <span title="decided">✎</span>'
_TO_CLARIFY = ' <span title="to be clarified">?</span>'


class Cell(msgspec.Struct, frozen=True):
    """What one offer says to one requirement."""

    shape: str
    standing: Standing
    offered: str
    address: str
    is_decided: bool
    question: str


class Line(msgspec.Struct, frozen=True):
    """One requirement with a cell of each offer; `kinds` are the filters that show it."""

    requirement: Requirement
    criterion: str
    cells: tuple[Cell, ...]
    kinds: frozenset[str]


class Group(msgspec.Struct, frozen=True):
    """A table of the page: its heads are offer, factor and whether a telephone shows it."""

    title: str
    heads: tuple[tuple[str, str, bool], ...]
    rows: SafeString


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


def groups_of(found: Compared, lines: list[Line], shown: str, one: str) -> Iterator[Group]:
    """Yield the groups that have a line shown, with the factor of each offer.

    `one` names the offer that a narrow screen shows.
    """
    by_group: dict[str, list[Line]] = {}
    for line in lines:
        if shown in line.kinds:
            by_group.setdefault(line.requirement.group, []).append(line)
    names = [str(each.offer) for each in found.offers]
    place = names.index(one) if one in names else 0
    for key, chosen in by_group.items():
        heads = tuple(
            (name, f"{each.factors.get(key, 0):.2f}", at == place)
            for at, (name, each) in enumerate(zip(names, found.offers, strict=True))
        )
        yield Group(group_title(key), heads, SafeString("".join(_row(line, place) for line in chosen)))


# Thousands of cells: the template language takes a hundred times as long for them.
def _row(line: Line, place: int) -> str:
    asked = line.requirement
    must = " <small>must</small>" if asked.knock_out else ""
    cells = "".join(_cell(cell, at == place) for at, cell in enumerate(line.cells))
    return (
        f'<tr><th scope="row">{_breakable(asked.id)}{must}<br>{escape(asked.title)}<br>'
        f"<small>{escape(line.criterion)}</small></th>{cells}</tr>\n"
    )


def _cell(cell: Cell, on_a_phone: bool) -> str:
    said = cell.offered if len(cell.offered) <= _LONGEST else f"{cell.offered[: _LONGEST - 1]}…"
    return (
        f"<td{_ON_A_PHONE if on_a_phone else ''}>"
        f'<a href="{escape(cell.address)}">{cell.shape} {cell.standing}</a>'
        f"{_DECIDED if cell.is_decided else ''}{_TO_CLARIFY if cell.question else ''}"
        f"<br><small>{escape(said)}</small></td>"
    )


def deviation_items(rows: list[tuple[str, str, str]]) -> SafeString:
    """Return deviations of an offer as items of a list."""
    return SafeString(
        "".join(
            f'<li><b>{escape(key)}</b>: {escape(text)} <span class="soft">{escape(why)}</span></li>'
            for key, text, why in rows
        )
    )


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
