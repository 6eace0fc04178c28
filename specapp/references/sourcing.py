"""Where the values of a description come from: put on field by field, or on everything entered in a sitting.

Sources stand in the description itself (`sources` of machine/1) and are saved with it, under its version.
"""

import copy
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, get_args

from django.db import transaction

from specapp.core.models import AuditEntry, User
from specapp.domain.machine import Source
from specapp.domain.problems import NOTHING, InputErrors, Problem, shown
from specapp.domain.scalars import bad_character
from specapp.projects.describing.fields import DESCRIPTION, FieldSpec
from specapp.projects.describing.typed import CLASSIFICATION, document_of, typed_of
from specapp.projects.models import Machine
from specapp.projects.services import machine_update
from specapp.references.errors import NothingChosen
from specapp.references.models import SittingSource

STATES = tuple(
    value
    for part in get_args(Source.model_fields["state"].annotation)
    for value in get_args(part)
    if value is not None
)
_AREA = "hazardous_area"
_PINION = re.compile(r"pinions\[(\d+)\]\.(.+)")
_LONGEST = {"document": 120, "revision": 40, "page": 40}


@dataclass(frozen=True, slots=True)
class Origin:
    """A source as it is put on a field: document, revision, page, and how the value was had from it."""

    document: str
    revision: str
    page: str
    state: str

    def at_page(self, page: str) -> "Origin":
        return Origin(self.document, self.revision, page.strip() or self.page, self.state)

    def told(self) -> dict[str, str]:
        """Return the source as machine/1 tells it, without what is blank."""
        parts = {
            "document": self.document,
            "revision": self.revision,
            "page": self.page,
            "state": self.state,
        }
        return {name: text for name, text in parts.items() if text}


def source_path(name: str) -> str:
    """Return the path under which the source of a form's field is told."""
    return _AREA if name == CLASSIFICATION else name


def field_name(path: str) -> str:
    """Return the form's field whose source is told under a path."""
    return CLASSIFICATION if path == _AREA else path


def field_names(description: Mapping[str, Any]) -> list[str]:
    """Return every field that a source can be put on once it is told, pinion by pinion."""
    pinions = DESCRIPTION.rows["pinions"]
    count = len(description.get("pinions") or ())
    return [*DESCRIPTION.fields, *(f"pinions[{n}].{leaf}" for n in range(count) for leaf in pinions.fields)]


def field_spec(name: str) -> FieldSpec | None:
    """Return what is known of a field, None for a path that the form has no field for."""
    match = _PINION.fullmatch(name)
    return DESCRIPTION.rows["pinions"].fields.get(match[2]) if match else DESCRIPTION.fields.get(name)


def field_words(name: str, pinions: Sequence[str]) -> str:
    """Return what a field is called: "P2, journal diameter"."""
    spec, match = field_spec(name), _PINION.fullmatch(name)
    if spec is None:
        return name
    place = int(match[1]) if match else 0
    if match and place < len(pinions):
        return f"{pinions[place]}, {spec.label[0].lower()}{spec.label[1:]}"
    return spec.label


def value_words(name: str, value: str) -> str:
    """Return a value as the form shows it: the words of a choice."""
    spec = field_spec(name)
    return dict(spec.choices).get(value, value) if spec else value


@transaction.atomic
def values_enter(
    *,
    machine: Machine,
    expected_version: int,
    values: Mapping[str, str],
    ticked: Iterable[str],
    pages: Mapping[str, str],
    origin: Origin,
    author: User,
    now: datetime,
) -> Machine:
    """Save values as typed, and put the source on them and on the fields ticked besides.

    The origin is kept as the person's sitting: what they enter next comes from there too.

    Raises
    ------
    InputErrors
        With everything wrong with the source and the values.
    NothingChosen
        Where no value is typed and no field with a value is ticked.
    StaleVersion, TagTaken
        As `machine_update`.
    """
    problems = _problems_of(origin, pages)
    if problems:
        raise InputErrors(problems)
    named = {*values, *ticked}
    origins = {
        name: origin.at_page(pages.get(name, ""))
        for name in field_names(machine.description)
        if name in named
    }
    description = with_values(machine.description, values, origins)
    if description == machine.description:
        raise NothingChosen
    saved = description_save(machine, description, expected_version, author, now)
    sitting_begin(machine=saved, person=author, origin=origin, now=now)
    return saved


@transaction.atomic
def sources_remove(
    *, machine: Machine, expected_version: int, names: Iterable[str], author: User, now: datetime
) -> Machine:
    """Take the sources off fields. Raises as `values_enter`."""
    gone = {source_path(name) for name in names}
    told = machine.description.get("sources") or {}
    if not gone & set(told):
        raise NothingChosen
    kept = {path: source for path, source in told.items() if path not in gone}
    description = {**machine.description, "sources": kept}
    return description_save(machine, description, expected_version, author, now)


@transaction.atomic
def sitting_begin(*, machine: Machine, person: User, origin: Origin, now: datetime) -> SittingSource:
    """Keep where a person's entries come from; another document or revision begins another sitting."""
    held = SittingSource.objects.select_for_update().filter(machine=machine, person=person).first()
    if held is None:
        held = SittingSource(machine=machine, person=person, begun_at=now)
    elif (held.document, held.revision) != (origin.document, origin.revision):
        held.begun_at = now
    held.document, held.revision = origin.document, origin.revision
    held.page, held.state = origin.page, origin.state
    held.full_clean()
    held.save()
    return held


def sitting_end(*, machine: Machine, person: User) -> None:
    SittingSource.objects.filter(machine=machine, person=person).delete()


def changed_since(sitting: SittingSource) -> set[str]:
    """Return the fields that the person has changed on any page since the sitting began."""
    entries = AuditEntry.objects.filter(
        action="machine.update",
        object_id=sitting.machine_id,
        actor=sitting.person_id,
        at__gte=sitting.begun_at,
    )
    changed: set[str] = set()
    for data in entries.values_list("data", flat=True):
        was, now = typed_of(data["was"]), typed_of(data["is"])
        fields = set(field_names(data["is"]))
        changed |= {name for name, text in now.items() if name in fields and text != was.get(name, "")}
    return changed


def with_values(
    description: Mapping[str, Any], values: Mapping[str, str], origins: Mapping[str, Origin]
) -> dict[str, Any]:
    """Return a description with values as typed and with the sources of the fields that then have a value."""
    changed: dict[str, Any] = copy.deepcopy(dict(description))
    of_area = {name: text for name, text in values.items() if name.startswith(f"{_AREA}.")}
    if of_area:
        typed = {name: text for name, text in typed_of(description).items() if name.startswith(f"{_AREA}.")}
        changed[_AREA] = document_of({**typed, **of_area}).document.get(_AREA)
    for name, text in values.items():
        if name not in of_area:
            _put(changed, name, _read(name, text))
    sources = dict(changed.get("sources") or {})
    told = typed_of(changed)
    sources |= {source_path(name): each.told() for name, each in origins.items() if told.get(name)}
    if sources:
        changed["sources"] = sources
    return changed


def description_save(
    machine: Machine, description: Mapping[str, Any], expected_version: int, author: User, now: datetime
) -> Machine:
    """Save a description in which no pinion has moved."""
    return machine_update(
        machine=machine,
        description=description,
        expected_version=expected_version,
        author=author,
        now=now,
        pinions_were=range(len(description.get("pinions") or ())),
    )


def _read(name: str, text: str) -> Any:
    """Return what a field's text says as machine/1 holds it."""
    match = _PINION.fullmatch(name)
    if match is None:
        found: Any = document_of({name: text}).document
        leaf = name
    else:
        found = document_of({f"pinions[0].{match[2]}": text}).document["pinions"][0]
        leaf = match[2]
    for part in leaf.split("."):
        found = found[part]
    return found


def _put(description: dict[str, Any], name: str, value: Any) -> None:
    match = _PINION.fullmatch(name)
    owner = description if match is None else description["pinions"][int(match[1])]
    *parents, leaf = (name if match is None else match[2]).split(".")
    for part in parents:
        if owner.get(part) is None:
            owner[part] = {}
        owner = owner[part]
    owner[leaf] = value


def _problems_of(origin: Origin, pages: Mapping[str, str]) -> list[Problem]:
    problems = []
    for name, longest in _LONGEST.items():
        text = getattr(origin, name)
        if not text and name == "document":
            problems.append(Problem(name, NOTHING, "the number of the document the values come from"))
        elif len(text) > longest or bad_character(text) is not None:
            problems.append(Problem(name, shown(text), f"one line of at most {longest} characters"))
    if origin.state not in STATES:
        problems.append(Problem("state", shown(origin.state), ", ".join(STATES)))
    for name, page in pages.items():
        if len(page) > _LONGEST["page"] or bad_character(page) is not None:
            allowed = f"a page in one line of at most {_LONGEST['page']} characters"
            problems.append(Problem(name, shown(page), allowed))
    return problems
