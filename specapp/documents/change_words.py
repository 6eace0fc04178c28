"""What differs between two proposals as lines of text: was, is, why. Pages and change notes print them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from specapp.documents.wording import NONE, plain, prose, words
from specapp.domain.display import with_unit
from specapp.domain.proposal import Measure, Range, Record
from specapp.rulebook.comparison import Change, CheckState, Comparison, SetpointState

# In the order in which a reader wants them; values that act come first.
SUBJECTS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "setpoints": "Setpoints",
        "points": "Points",
        "checks": "Checks",
        "ranges": "Ranges",
        "transducers": "Transducers",
        "point_fields": "Tags, chains and places",
        "overrides": "Overrides",
        "open_points": "Open points",
        "assumptions": "Assumptions",
        "bill": "Bill",
        "architecture": "Boxes, racks and relays",
        "cause_and_effect": "Cause and effect",
        "process_protection": "Process protection",
        "safety_functions": "Trip reliability",
        "frequencies": "Frequencies",
        "shafts": "Shafts",
        "responsibility": "Who supplies what",
        "governing": "Governing documents",
        "conflicts": "Conflicts of rules",
    }
)
_LONGEST: Final = 240


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """One difference in words; ``items`` are what differs alike, ``why`` may be empty.

    ``keys`` are the keys under which comments name these items.
    """

    items: tuple[str, ...]
    keys: tuple[str, ...]
    field: str
    was: str
    now: str
    why: tuple[str, ...]


def change_lines(found: Comparison) -> dict[str, list[ChangeLine]]:
    """Return the differences of each subject that has any; items that differ alike share a line."""
    # Each cause stands behind many differences.
    causes = {cause.text: prose(cause.text) for cause in found.causes}
    return {
        title: lines
        for subject, title in SUBJECTS.items()
        if (lines := _lines(getattr(found, subject), subject, causes))
    }


def _lines(changes: tuple[Change, ...], subject: str, causes: Mapping[str, str]) -> list[ChangeLine]:
    alike: dict[tuple[str, str, str, tuple[str, ...]], list[tuple[str, str]]] = {}
    for change in changes:
        field = words(change.field) if change.field else ""
        why = tuple(dict.fromkeys(causes.get(cause.text, cause.text) for cause in change.why))
        key = (field, _text(change.was, change.now), _text(change.now, change.was), why)
        item = change.item if subject in _KEYED else words(change.item)
        alike.setdefault(key, []).append((item, _comment_key(subject, change)))
    return [
        ChangeLine(
            tuple(dict.fromkeys(item for item, _ in items)),
            tuple(dict.fromkeys(named for _, named in items)),
            field,
            was,
            now,
            why,
        )
        for (field, was, now, why), items in alike.items()
    ]


def _comment_key(subject: str, change: Change) -> str:
    """Return the key under which a comment names what differs."""
    if subject == "checks":
        return f"check/{change.field}/{change.item}"
    if subject == "bill":
        # The row's key is the item, and who supplies it after a space.
        return f"bill/{change.item.rpartition(' ')[0]}"
    if subject in _PARTED:
        return change.item.partition(" ")[0]
    return f"{_PREFIXES.get(subject, '')}{change.item}"


# Rows known by several facts, of which the first is the item.
_PARTED: Final = frozenset({"cause_and_effect", "frequencies", "overrides"})
_PREFIXES: Final[Mapping[str, str]] = MappingProxyType(
    {"open_points": "open/", "assumptions": "assumption/", "architecture": "rack/"}
)


# Keys of points and groups are printed as they are; other keys read as words.
_KEYED: Final = frozenset({"setpoints", "points", "ranges", "transducers", "point_fields", "overrides"})


def _text(value: Any, other: Any) -> str:
    """Return a value; of a record that was and is there, only the fields that differ."""
    if value is None:
        return NONE
    if isinstance(value, SetpointState):
        return _setpoint(value, other if isinstance(other, SetpointState) else None)
    if isinstance(value, CheckState):
        measured = (
            "" if value.measured is None else f", {with_unit(value.measured.value, value.measured.unit)}"
        )
        return f"{words(value.result)}{measured}"
    if isinstance(value, Measure):
        return with_unit(value.value, value.unit)
    if isinstance(value, Range):
        return f"{value.low.value:g} to {with_unit(value.high.value, value.high.unit)}"
    if isinstance(value, Record):
        return _fields(_of_record(value), _of_record(other) if isinstance(other, Record) else {})
    if isinstance(value, Mapping):
        return _fields(value, other if isinstance(other, Mapping) else {})
    return _short(prose(plain(value)))


def _of_record(record: Record) -> dict[str, Any]:
    return {name: getattr(record, name) for name in record.__struct_fields__}


def _setpoint(state: SetpointState, other: SetpointState | None) -> str:
    if state.value is None:
        value = words(state.status)
    else:
        value = with_unit(state.value, state.unit)
        if state.low is not None:
            same = state.low == -state.value
            value = f"±{value}" if same else f"+{value} / {with_unit(state.low, state.unit)}"
    told = {
        "governed_by": f"by {state.governed_by}",
        "voting": state.voting or "",
        "delay_s": "" if state.delay_s is None else f"after {state.delay_s:g} s",
        "status": state.status,
    }
    differing = [
        text
        for name, text in told.items()
        if text and (other is None or getattr(state, name) != getattr(other, name))
    ]
    return prose(", ".join([value, *differing]))


def _fields(fields: Mapping[str, Any], other: Mapping[str, Any]) -> str:
    differing = {
        name: value
        for name, value in fields.items()
        if name != "trace" and value not in (None, "", (), []) and (not other or other.get(name) != value)
    }
    if list(differing) == ["text"]:
        return _short(prose(str(differing["text"])))
    told = [f"{words(str(name))} {_value(value)}" for name, value in differing.items()]
    return _short(prose("; ".join(told))) or NONE


def _value(value: Any) -> str:
    if isinstance(value, Measure):
        return with_unit(value.value, value.unit)
    if isinstance(value, list | tuple) and value and isinstance(value[0], Mapping | Record | list | tuple):
        # Nested working is read in its document; here it is enough that it differs.
        return f"({len(value)} entries)"
    if isinstance(value, Mapping) and any(
        isinstance(each, Mapping | list | tuple) for each in value.values()
    ):
        return f"({len(value)} entries)"
    return plain(value)


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"
