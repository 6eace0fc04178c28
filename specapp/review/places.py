"""What a comment can belong to: the items of a proposal by key, and the drawings by name."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import msgspec

from specapp.documents.wording import words
from specapp.domain.overrides import ALLOWED, GROUP_FIELDS, POINT_FIELDS
from specapp.domain.proposal import Proposal, Record
from specapp.drawings.architecture_line import architecture_scene
from specapp.drawings.frequency_map import frequency_map_scene
from specapp.drawings.machine_layout import layout_scene, shaft_names
from specapp.drawings.scene import Scene
from specapp.drawings.setpoint_scale import setpoint_scale_scene
from specapp.drawings.svg import svg_text
from specapp.drawings.trip_paths import trip_paths_scene
from specapp.projects.deciding.items import item_of
from specapp.projects.kept import kept_beside
from specapp.projects.presenting.decisions import set_text

ARRANGEMENT = "arrangement"
_SCALES = "setpoints/"
_SCENES = {
    ARRANGEMENT: layout_scene,
    "architecture": architecture_scene,
    "frequencies": frequency_map_scene,
    "trips": trip_paths_scene,
}
_SCENE_TITLES = {
    ARRANGEMENT: "General arrangement",
    "architecture": "Chain",
    "frequencies": "Frequency map",
    "trips": "Trip paths",
}
# Why something is said is told by its rule; what is said is what a reader looks at.
_REASONS = frozenset({"trace", "because", "candidates"})
LONGEST_ITEM = 200
VALUE_FIELDS = tuple(field for field in ALLOWED if field != "added")


@dataclass(frozen=True, slots=True)
class Choices:
    """Items of one kind to choose from, key and name."""

    title: str
    items: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Places:
    """Everything in a proposal that a comment can belong to; `names` by key, `points` leads to sheets.

    `points` maps a point or a voting group to the point whose sheet shows it; `groups` a point to its
    voting group; `records` what the proposal says of each item.
    """

    choices: tuple[Choices, ...]
    names: dict[str, str]
    points: dict[str, str]
    groups: dict[str, str]
    records: dict[str, tuple[Record, ...]]
    tags: dict[str, str]


@kept_beside(16)
def places_of(proposal: Proposal) -> Places:
    """Return what can be commented on in a proposal."""
    points = {point.key: point.key for point in proposal.points}
    groups: dict[str, list[str]] = {}
    for point in proposal.points:
        groups.setdefault(point.voting_group, []).append(point.tag)
        points.setdefault(point.voting_group, point.key)
    own = [(point.key, f"{point.tag}, {point.title}") for point in proposal.points]
    voting = [
        (key, f"{key}, {', '.join(tags)}")
        for key, tags in groups.items()
        if points[key] != key or len(tags) > 1
    ]
    choices = (
        Choices("Points", tuple(own)),
        Choices("Voting groups", tuple(voting)),
        Choices(
            "Checks",
            _once(
                (f"check/{c.check}/{c.subject}", f"{words(c.check)}, {c.subject}") for c in proposal.checks
            ),
        ),
        Choices(
            "Bill of materials", _once((f"bill/{b.item}", b.description) for b in proposal.bill_of_materials)
        ),
        Choices("Open points", _once((f"open/{o.key}", o.text) for o in proposal.open_points)),
        Choices("Assumptions", _once((f"assumption/{a.field}", a.because) for a in proposal.assumptions)),
        Choices("Boxes, racks, relays", tuple(_architecture(proposal))),
        Choices(
            "Shafts", tuple((s.name, f"Shaft {s.name}") for s in proposal.shafts if s.name not in points)
        ),
    )
    names = {key: name for choice in reversed(choices) for key, name in choice.items}
    return Places(
        choices=tuple(choice for choice in choices if choice.items),
        names=names,
        points=points,
        groups={point.key: point.voting_group for point in proposal.points},
        records=_records(proposal),
        tags={point.tag: point.key for point in proposal.points},
    )


def _records(proposal: Proposal) -> dict[str, tuple[Record, ...]]:
    """Return what a proposal says of each item; points stand for themselves and for their voting group."""
    architecture = proposal.architecture
    pairs: list[tuple[str, Record]] = [(point.key, point) for point in proposal.points]
    own = {point.key for point in proposal.points}
    pairs += [(p.voting_group, p) for p in proposal.points if p.voting_group not in own]
    pairs += [(f"check/{each.check}/{each.subject}", each) for each in proposal.checks]
    pairs += [(f"bill/{each.item}", each) for each in proposal.bill_of_materials]
    pairs += [(f"open/{each.key}", each) for each in proposal.open_points]
    pairs += [(f"assumption/{each.field}", each) for each in proposal.assumptions]
    pairs += [(f"box/{each.key}", each) for each in architecture.junction_boxes]
    pairs += [(f"rack/{each.key}", each) for each in architecture.racks]
    pairs += [(f"relay/{each.key}", each) for each in architecture.relays]
    pairs += [(each.name, each) for each in proposal.shafts if each.name not in own]
    found: dict[str, list[Record]] = {}
    for key, record in pairs:
        found.setdefault(key[:LONGEST_ITEM], []).append(record)
    return {key: tuple(records) for key, records in found.items()}


def _once(pairs: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    return tuple({key[:LONGEST_ITEM]: name[:120] for key, name in pairs}.items())


def _architecture(proposal: Proposal) -> Iterable[tuple[str, str]]:
    architecture = proposal.architecture
    for box in architecture.junction_boxes:
        yield f"box/{box.key}", f"Box {box.key}, {words(box.purpose)}"
    for rack in architecture.racks:
        yield f"rack/{rack.key}", f"Rack {rack.key}"
    for relay in architecture.relays:
        yield f"relay/{relay.key}", f"Relay {relay.key}, {words(relay.purpose)}"


def item_digest(places: Places, item: str) -> str:
    """Return what a proposal says of an item as 16 characters, empty where it is not there.

    Indexes into the trace are left out: they move when another item gains a reason.
    """
    records = places.records.get(item)
    if records is None:
        return ""
    said = [_without_trace(msgspec.to_builtins(record)) for record in records]
    return hashlib.sha256(msgspec.json.encode(said)).hexdigest()[:16]


def _without_trace(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _without_trace(each) for name, each in value.items() if name not in _REASONS}
    return [_without_trace(each) for each in value] if isinstance(value, list | tuple) else value


def value_text(proposal: Proposal, item: str, field: str) -> str:
    """Return what stands in a field of an item that can be set, as pages print it; empty for any other."""
    found = item_of(proposal, item, field)
    return set_text(found, found.value) if found.points and found.value is not None else ""


def settable_key(places: Places, item: str, field: str) -> str:
    """Return the key under which a field of an item is set; setpoints and votes belong to the group."""
    return places.groups.get(item, item) if field in GROUP_FIELDS else item


def takes_value(places: Places, item: str, field: str) -> bool:
    """Tell whether an item of the proposal has a field that can be set."""
    return item in places.points and (
        field in GROUP_FIELDS or (field in POINT_FIELDS and field != "added" and item in places.groups)
    )


@kept_beside(16)
def scene_choices(proposal: Proposal) -> tuple[tuple[str, str], ...]:
    """Return the drawings of a machine that can be marked, name and title."""
    known = {line.name for line in proposal.shafts} | {point.shaft for point in proposal.points}
    scales = [
        (f"{_SCALES}{name}", f"Setpoint scale {name}") for name in shaft_names(proposal) if name in known
    ]
    return (*_SCENE_TITLES.items(), *scales)


def is_scene(proposal: Proposal | None, name: str) -> bool:
    """Tell whether a machine has a drawing of this name; without a proposal it has none."""
    return proposal is not None and name in dict(scene_choices(proposal))


def scene_of(proposal: Proposal, name: str) -> Scene:
    """Return a drawing by its name. Raises `KeyError` where the machine has no such drawing."""
    if name.startswith(_SCALES):
        shaft = name.removeprefix(_SCALES)
        if name not in dict(scene_choices(proposal)):
            raise KeyError(name)
        return setpoint_scale_scene(proposal, shaft)
    return _SCENES[name](proposal)


def scene_title(name: str) -> str:
    shaft = name.removeprefix(_SCALES)
    return f"Setpoint scale {shaft}" if shaft != name else _SCENE_TITLES.get(name, name)


def scene_digest(scene: Scene) -> str:
    """Return what a drawing shows as 16 characters, so that a mark tells when its drawing has changed."""
    return _painted_digest(svg_text(scene))


def _painted_digest(painted: str) -> str:
    return hashlib.sha256(painted.encode()).hexdigest()[:16]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drawing of a proposal with what it looks like without marks."""

    scene: Scene
    painted: str
    digest: str


@kept_beside(48)
def sheet_of(proposal: Proposal, name: str) -> Sheet:
    """Return a drawing by its name. Raises `KeyError` where the machine has no such drawing."""
    scene = scene_of(proposal, name)
    painted = svg_text(scene)
    return Sheet(scene, painted, _painted_digest(painted))
