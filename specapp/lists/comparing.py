"""Two proposals as a table of what one says and the other, with the sentence on why they differ."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString
from msgspec.structs import replace

from specapp.core.markup import escape
from specapp.documents.wording import NONE, plain, prose, true_minus, words
from specapp.domain.display import with_unit
from specapp.domain.proposal import Proposal, Record
from specapp.projects.presenting.tables import (
    Column,
    Folded,
    GroupRow,
    Lines,
    Row,
    Table,
    filed,
    joined,
    small,
)
from specapp.rulebook.check_names import candidate_words, check_words
from specapp.rulebook.comparison import Change, CheckState, SetpointState, compare
from specapp.rulebook.first_difference import FirstDifference, first_difference

_MOST_ROWS = 80
_SUBJECTS = {
    "points": "Points",
    "setpoints": "Setpoints",
    "checks": "Checks",
    "ranges": "Ranges",
    "transducers": "Transducers",
    "point_fields": "Tags, chains and places",
    "bill": "Bill",
    "assumptions": "Assumptions",
    "open_points": "Open points",
    "architecture": "Boxes, racks and relays",
    "cause_and_effect": "Cause and effect",
    "frequencies": "Frequencies",
    "shafts": "Shafts",
    "process_protection": "Process protection",
    "safety_functions": "Trip reliability",
    "responsibility": "Who supplies what",
    "governing": "Governing documents",
    "overrides": "Overrides",
    "conflicts": "Conflicts of rules",
}
# Subjects whose items are points or groups, of which it can be asked why they differ.
_ASKABLE = frozenset({"points", "setpoints"})


@dataclass(frozen=True, slots=True)
class ComparisonPage:
    """What differs between two machines; `answer` is the sentence on the item asked about."""

    causes: Sequence[str]
    blocks: Sequence[Folded]
    answer: FirstDifference | None
    is_same: bool
    differences: Table


def comparison_page(before: Proposal, after: Proposal, names: tuple[str, str], asked: str) -> ComparisonPage:
    """Return the comparison; without an item asked about, the first setpoint that differs is explained."""
    found = compare(before, after)
    item = asked or next((change.item for change in (*found.setpoints, *found.points)), "")
    answer = first_difference(before, after, item, names=names) if item else None
    if answer is not None:
        answer = replace(answer, text=prose(answer.text))
    blocks = [
        _block(subject, title, getattr(found, subject), names)
        for subject, title in _SUBJECTS.items()
        if getattr(found, subject)
    ]
    causes = [prose(cause.text) for cause in found.causes]
    whole: list[Row | GroupRow] = []
    for subject, title in _SUBJECTS.items():
        rows = _rows(subject, getattr(found, subject))
        whole += [GroupRow(title), *rows] if rows else []
    differences = Table("Differences", _columns(names), whole)
    return ComparisonPage(causes, blocks, answer, found.is_empty, differences)


def _block(subject: str, title: str, changes: Sequence[Change], names: tuple[str, str]) -> Folded:
    rows = _rows(subject, changes)
    table = Table(title, _columns(names), rows[:_MOST_ROWS])
    left = len(rows) - _MOST_ROWS
    more = [Lines([f"{left} more of this kind."], style="soft")] if left > 0 else []
    return Folded(title, len(changes), [table, *more], is_open=subject in _ASKABLE)


def _columns(names: tuple[str, str]) -> Sequence[Column]:
    return Column("Item", "subjects", filed=("Item", "Field")), Column(names[0]), Column(names[1])


def _rows(subject: str, changes: Sequence[Change]) -> list[Row]:
    """Return what differs, items that differ alike in one row."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    for change in changes:
        named = check_words if subject == "checks" else words
        values = named(change.field) if change.field else "", _text(change.was), _text(change.now)
        alike.setdefault(values, []).append(change.item)
    return [
        Row(
            (
                filed(
                    joined([*_names(subject, items), small(field)]),
                    ", ".join(item if subject in _ASKABLE else words(item) for item in dict.fromkeys(items)),
                    field,
                ),
                was,
                now,
            )
        )
        for (field, was, now), items in alike.items()
    ]


def _names(subject: str, items: Sequence[str]) -> list[str]:
    shown = list(dict.fromkeys(items))
    told = [_asked(item) if subject in _ASKABLE else words(item) for item in shown[:6]]
    return [*told, f"and {len(shown) - 6} more"] if len(shown) > 6 else told


def _asked(item: str) -> SafeString:
    """Return an item that leads to the answer why it differs; the page's other choices stay."""
    told = escape(item)
    return SafeString(f'<button form="two" class="as-link" name="item" value="{told}">{told}</button>')


def _text(value: Any) -> str:
    if value is None:
        return NONE
    if isinstance(value, SetpointState):
        return _setpoint(value)
    if isinstance(value, CheckState):
        return words(value.result) if value.measured is None else f"{words(value.result)}, {_measure(value)}"
    if isinstance(value, Record):
        return _fields({name: getattr(value, name) for name in value.__struct_fields__})
    if isinstance(value, Mapping):
        return _fields(value)
    return prose(plain(value))


def _setpoint(state: SetpointState) -> str:
    if state.value is None:
        return words(state.status)
    value = with_unit(state.value, state.unit)
    if state.low is not None:
        both = f"+{value} / {with_unit(state.low, state.unit)}"
        value = true_minus(f"±{value}" if state.low == -state.value else both)
    told = [
        f"by {candidate_words(state.governed_by)}",
        state.voting or "",
        "" if state.status == "proposed" else state.status,
    ]
    return joined([value, *(small(part) for part in told if part)])


def _measure(state: CheckState) -> str:
    assert state.measured is not None
    return with_unit(state.measured.value, state.measured.unit)


def _fields(fields: Mapping[str, Any]) -> str:
    """Return the fields of a record that say something, short enough for a cell."""
    told = [
        f"{words(str(name))} {plain(value)}" for name, value in fields.items() if value not in (None, "", ())
    ]
    text = "; ".join(told)
    return prose(text if len(text) <= 300 else f"{text[:297]}…")
