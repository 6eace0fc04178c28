"""The fields of a description in groups, each with its value, its source and what is typed for it."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from specapp.documents.schedules import Schedule
from specapp.projects.describing.entries import entry_id
from specapp.projects.describing.fields import CHOICE, DESCRIPTION, YES_NO, FieldSpec
from specapp.projects.describing.form import GROUPS
from specapp.projects.describing.typed import typed_of
from specapp.references.resting import same_text
from specapp.references.selectors import RegisterLine, current_revision
from specapp.references.sourcing import source_path
from specapp.rulebook.fact_names import pinion_names

SHOWN = {
    "all": "All",
    "unsourced": "Without a source",
    "earlier": "From an earlier revision",
    "missing": "Not told",
}


@dataclass(frozen=True, slots=True)
class SourceLine:
    """One field: what is told, where from, and what a person has typed for it on this page."""

    name: str
    spec: FieldSpec
    value: str
    source: Mapping[str, str]
    is_earlier: bool
    typed: str
    page: str
    is_ticked: bool
    problem: str

    @property
    def id(self) -> str:
        return entry_id(self.name)

    @property
    def has_choices(self) -> bool:
        return self.spec.kind in (CHOICE, YES_NO)

    @property
    def value_words(self) -> str:
        return dict(self.spec.choices).get(self.value, self.value)


@dataclass(frozen=True, slots=True)
class SourceGroup:
    title: str
    lines: Sequence[SourceLine]


def source_groups(
    description: Mapping[str, Any],
    register: list[RegisterLine],
    shown: str,
    *,
    typed: Mapping[str, str],
    pages: Mapping[str, str],
    ticked: Collection[str],
    problems: Mapping[str, str],
    is_new_tick: bool,
) -> list[SourceGroup]:
    """Return the fields asked for; `is_new_tick`: tick only what has no source yet."""
    told = typed_of(description)
    sources = description.get("sources") or {}

    def line(name: str, spec: FieldSpec) -> SourceLine:
        source = sources.get(source_path(name)) or {}
        current = current_revision(register, source.get("document") or "") if source else None
        return SourceLine(
            name=name,
            spec=spec,
            value=told.get(name, ""),
            source=source,
            is_earlier=current is not None and not same_text(source.get("revision") or "", current.revision),
            typed=typed.get(name, ""),
            page=pages.get(name, ""),
            is_ticked=name in ticked and not (is_new_tick and source),
            problem=problems.get(name, ""),
        )

    groups = [SourceGroup(title, [line(*each) for each in fields]) for title, fields in _fields(description)]
    kept = [
        SourceGroup(group.title, [each for each in group.lines if _is_shown(each, shown)]) for group in groups
    ]
    return [group for group in kept if group.lines]


def sources_schedule(groups: Sequence[SourceGroup]) -> Schedule:
    """Return the fields shown, for a file."""
    rows = [
        (
            group.title,
            line.spec.label,
            line.value_words or None,
            *(line.source.get(name) or None for name in ("document", "revision", "page", "state")),
            line.is_earlier if line.source else None,
        )
        for group in groups
        for line in group.lines
    ]
    headings = (
        "Group",
        "Field",
        "Now",
        "Document",
        "Revision",
        "Page",
        "State",
        "A later revision is in force",
    )
    return Schedule("Sources", headings, rows, fixed=2)


def _is_shown(line: SourceLine, shown: str) -> bool:
    if line.typed or line.problem:
        return True
    return {
        "all": True,
        "unsourced": bool(line.value) and not line.source,
        "earlier": line.is_earlier,
        "missing": not line.value,
    }[shown]


def _belongs(name: str, start: str) -> bool:
    return name == start or (start.endswith(".") and name.startswith(start))


def _fields(description: Mapping[str, Any]) -> list[tuple[str, list[tuple[str, FieldSpec]]]]:
    """Return the groups of fields as the description's own page has them, pinions by name."""
    left = dict(DESCRIPTION.fields)
    groups = []
    for title, starts in GROUPS:
        own = [name for name in left if any(_belongs(name, start) for start in starts)]
        groups.append((title, [(name, left.pop(name)) for name in own]))
    groups.insert(0, ("Stages and area", list(left.items())))
    pinions = DESCRIPTION.rows["pinions"].fields
    groups[2:2] = [
        (f"Pinion {name}", [(f"pinions[{number}].{leaf}", spec) for leaf, spec in pinions.items()])
        for number, name in enumerate(pinion_names(description))
    ]
    return groups
