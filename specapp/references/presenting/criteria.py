"""The criteria of a project as one page: value in force, source, standing, and where each is used."""

from collections import Counter
from collections.abc import Iterable, Mapping

from django.urls import reverse
from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.criteria.criterion import FROM_MEMORY
from specapp.documents.wording import NONE
from specapp.projects.presenting.criteria import CriterionLine
from specapp.projects.presenting.reader import status_mark
from specapp.projects.presenting.tables import Column, GroupRow, Row, Table, filed, joined, small
from specapp.references.uses import Use

ALL, SET_HERE, FROM_MEMORY_OPEN, CONFIRMED, UNUSED = "all", "set", "unconfirmed", "confirmed", "unused"
SHOWN = {
    ALL: "All",
    SET_HERE: "Set here",
    FROM_MEMORY_OPEN: "From memory, not confirmed",
    CONFIRMED: "Confirmed",
    UNUSED: "Not used here",
}
_NO_USE = Use()
_RULES_NAMED = 4
_COLUMNS = (
    Column("Criterion", filed=("Criterion", "Meaning")),
    Column(
        "In force",
        "number",
        filed=("In force", "Unit", "Default", "Set here because", "Source of the value set here"),
    ),
    Column("Source and edition", "says", filed=("Source", "Edition")),
    Column("Standing", filed=("Status", "Confirmed by")),
    Column("Read by", "stacked", filed=("Read by",)),
    Column("Setpoints resting on it", "number"),
    Column("Reasons", "number"),
)


def criteria_shown(
    lines: Iterable[CriterionLine], uses: Mapping[str, Use], shown: str, text: str
) -> list[CriterionLine]:
    """Return the criteria asked for; every word of the text stands in key, title, source, note or reason."""
    words = text.casefold().split()
    tests = {
        ALL: lambda line: True,
        SET_HERE: lambda line: line.own is not None,
        FROM_MEMORY_OPEN: lambda line: line.is_unconfirmed,
        CONFIRMED: lambda line: bool(line.confirmed),
        UNUSED: lambda line: line.criterion.key not in uses,
    }
    return [line for line in lines if tests[shown](line) and all(word in _searched(line) for word in words)]


def _searched(line: CriterionLine) -> str:
    own = f"{line.own.reason} {line.own.source}" if line.own else ""
    criterion = line.criterion
    return f"{criterion.key} {criterion.title} {line.source} {criterion.note} {own}".casefold()


def criteria_table(lines: Iterable[CriterionLine], uses: Mapping[str, Use], project_id: int) -> Table:
    """Return criteria by their first word."""
    rows: list[Row | GroupRow] = []
    group = ""
    for line in lines:
        head = line.criterion.key.partition(".")[0]
        if head != group:
            group = head
            rows.append(GroupRow(head.replace("_", " ")))
        rows.append(_row(line, uses.get(line.criterion.key, _NO_USE), project_id))
    return Table("Criteria", _COLUMNS, rows, is_narrow=False)


def _row(line: CriterionLine, use: Use, project_id: int) -> Row:
    criterion, own = line.criterion, line.own
    link = reverse("projects:criterion-edit", args=[project_id, criterion.key])
    name = SafeString(f'<a href="{link}">{escape(criterion.key)}</a>')
    value: list[str] = [line.default_text]
    if own is not None:
        value = [line.own_text, small(f"default {line.default_text}"), small(own.reason)]
        value += [small(own.source)] if own.source else []
    by_whom = [f"{each.by}, {each.on}, {each.edition}" for each in line.confirmed]
    confirmed = [small(f"confirmed by {each}") for each in by_whom]
    rules_link = reverse("references:rule-list", args=[project_id])
    rules = sorted(use.rules)
    named = [
        SafeString(f'<a class="nowrap" href="{rules_link}#{rule}">{rule}</a>')
        for rule in rules[:_RULES_NAMED]
    ]
    more = [small(f"and {len(rules) - _RULES_NAMED} more")] if len(rules) > _RULES_NAMED else []
    return Row(
        (
            filed(joined([name, small(criterion.title)]), criterion.key, criterion.title),
            filed(
                joined(value),
                own.value if own else criterion.value,
                criterion.unit,
                criterion.value,
                own.reason if own else None,
                own.source if own else None,
            ),
            filed(line.source or NONE, criterion.source, criterion.edition),
            filed(
                joined([joined([criterion.status, status_mark(criterion.status)], " "), *confirmed]),
                criterion.status,
                "; ".join(by_whom),
            ),
            filed(joined([*named, *more]) or NONE, ", ".join(rules)),
            str(use.setpoints or NONE),
            str(use.reasons or NONE),
        )
    )


def standing_sentence(lines: Iterable[CriterionLine], uses: Mapping[str, Use]) -> str:
    """Return how many values from memory are in use here, and who has confirmed how many of them."""
    recalled = [
        line
        for line in lines
        if line.criterion.status == FROM_MEMORY and line.criterion.key in uses and line.own is None
    ]
    by = Counter(str(each.by) for line in recalled for each in line.confirmed[:1])
    confirmed = sum(by.values())
    waiting = len(recalled) - confirmed
    told = f"{waiting} value{'' if waiting == 1 else 's'} to be confirmed"
    if by:
        told += f", {confirmed} confirmed by {', '.join(sorted(by))}"
    return told
