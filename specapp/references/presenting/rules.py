"""The rulebook as a page: every rule with why, source, the criteria it reads, and how it ended."""

from collections.abc import Mapping, Sequence

from django.urls import reverse
from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.documents.wording import NONE
from specapp.domain.proposal import Proposal, RuleOutcome
from specapp.projects.presenting.reader import Reader, state, status_mark
from specapp.projects.presenting.tables import Column, GroupRow, Row, Table, filed, joined, small
from specapp.rulebook.registry import RULES, Rule

OUTCOMES = {"all": "All", "applied": "Applied", "undecided": "Undecided", "not_applicable": "Not applicable"}
_READ_NAMED = 6


def rules_shown(outcomes: Mapping[str, RuleOutcome], shown: str, text: str) -> list[Rule]:
    """Return the rules asked for in the order they run."""
    words = text.casefold().split()
    return [
        rule
        for rule in sorted(RULES.values(), key=lambda each: each.phase)
        if shown in ("all", _ended(outcomes.get(rule.id))) and all(word in _searched(rule) for word in words)
    ]


def _ended(outcome: RuleOutcome | None) -> str:
    return "" if outcome is None else outcome.outcome.replace(" ", "_")


def _searched(rule: Rule) -> str:
    return f"{rule.id} {rule.title} {rule.because} {rule.source} {rule.edition} {rule.status}".casefold()


def rule_table(
    rules: Sequence[Rule],
    outcomes: Mapping[str, RuleOutcome],
    reads: Mapping[str, Sequence[str]],
    project_id: int,
    reader: Reader | None,
) -> Table:
    """Return rules by the phase they run in; the outcome stands for the machine of the reader."""
    columns = [
        Column("Rule", filed=("Rule", "Title")),
        Column("Why", "says"),
        Column("Source and edition", filed=("Source", "Edition", "Status")),
        Column("Criteria it read", "stacked"),
    ]
    if reader is not None:
        columns.append(Column("Outcome", "stacked", filed=("Outcome", "Needs")))
    rows: list[Row | GroupRow] = []
    phase = None
    for rule in rules:
        if rule.phase != phase:
            phase = rule.phase
            rows.append(GroupRow(phase.name.replace("_", " ").capitalize()))
        cells = [
            filed(
                joined(
                    [SafeString(f'<span id="{rule.id}" class="nowrap">{rule.id}</span>'), small(rule.title)]
                ),
                rule.id,
                rule.title,
            ),
            rule.because,
            filed(
                joined([_source(rule), joined([small(rule.status), status_mark(rule.status)], " ")]),
                rule.source,
                rule.edition,
                rule.status,
            ),
            filed(_criteria(read := reads.get(rule.id, ()), project_id), ", ".join(read)),
        ]
        if reader is not None:
            cells.append(_outcome(outcomes.get(rule.id), reader))
        rows.append(Row(cells))
    return Table("Rules", columns, rows, is_narrow=False)


def _source(rule: Rule) -> str:
    return ", ".join(part for part in (rule.source, rule.edition) if part)


def _criteria(keys: Sequence[str], project_id: int) -> SafeString | str:
    links = [
        SafeString(
            f'<a href="{reverse("projects:criterion-edit", args=[project_id, key])}">{escape(key)}</a>'
        )
        for key in keys[:_READ_NAMED]
    ]
    more = [small(f"and {len(keys) - _READ_NAMED} more")] if len(keys) > _READ_NAMED else []
    return joined([*links, *more]) or NONE


def _outcome(outcome: RuleOutcome | None, reader: Reader) -> SafeString | str:
    if outcome is None:
        return NONE
    needs = [joined([small("needs"), reader.fact(path)], " ") for path in outcome.needs]
    told = joined([state(_ended(outcome)), *needs])
    return filed(told, outcome.outcome, ", ".join(outcome.needs))


def outcomes_of(proposal: Proposal | None) -> Mapping[str, RuleOutcome]:
    return {} if proposal is None else {each.rule: each for each in proposal.rules}
