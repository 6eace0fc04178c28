"""What one rule answered, sorted: values given to fields of points, shafts, and the rest by list."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints

from specapp.domain.proposal import (
    AppliedOverride,
    Assumption,
    BillLine,
    CauseAndEffect,
    Check,
    FrequencyLine,
    GoverningDocument,
    Interface,
    JunctionBox,
    OpenPoint,
    ProcessProtection,
    Rack,
    ReconciliationLine,
    Relay,
    Responsibility,
)
from specapp.rulebook.context import (
    Assign,
    Bearing,
    Cable,
    PointDraft,
    Shaft,
    Strike,
    Undecided,
)
from specapp.rulebook.registry import Rule

# (item, field): a point's by its key, a shaft's by its key with a mark.
Place = tuple[str, str]
Writes = dict[Place, Any]

COLLECTION_OF: dict[type, str] = {
    AppliedOverride: "applied_overrides",
    Assumption: "assumptions",
    OpenPoint: "open_points",
    GoverningDocument: "governing",
    FrequencyLine: "frequencies",
    Check: "checks",
    JunctionBox: "junction_boxes",
    Rack: "racks",
    Relay: "relays",
    Cable: "cables",
    Interface: "interfaces",
    CauseAndEffect: "cause_and_effect",
    ProcessProtection: "process_protection",
    BillLine: "bill",
    Responsibility: "responsibility",
    ReconciliationLine: "reconciliation",
    str: "architecture_notes",
    dict: "safety_functions",
}
HAS_KIND = (Check, OpenPoint, PointDraft, Assign, Strike, Shaft, Bearing)
BY_KEY = {"assumptions": "field", "open_points": "key"}
SHAFT_FIELDS = tuple(
    name for name in Shaft.__struct_fields__ if name not in ("key", "path", "kind", "told", "bearings")
)
BEARING_FIELDS = tuple(name for name in Bearing.__struct_fields__ if name not in ("key", "shaft"))
DRAFT_FIELDS = tuple(
    name
    for name in PointDraft.__struct_fields__
    if name not in ("key", "shaft", "bearing", "reasons", "group")
)
SHAFT_MARK = "shaft "


@lru_cache(maxsize=512)
def answer_types(rule: Rule) -> frozenset[type]:
    """Return what a rule can answer with, by its signature, which the type checker holds it to."""
    (item,) = get_args(get_type_hints(rule.function)["return"])
    each = get_args(item) if isinstance(item, UnionType) else (item,)
    return frozenset(get_origin(kind) or kind for kind in each)


class Answer:
    """The items of one rule, sorted: values given to fields, points, shafts, and the rest by list."""

    __slots__ = ("bearings", "drafts", "others", "shafts", "struck", "writes")

    def __init__(self, items: Iterable[Any]) -> None:
        self.writes: Writes = {}
        self.drafts: dict[str, PointDraft] = {}
        self.shafts: dict[str, Shaft] = {}
        self.bearings: dict[str, Bearing] = {}
        self.struck: set[str] = set()
        self.others: dict[str, list[Any]] = {}
        for item in items:
            kind = type(item)
            if kind is Assign:
                for point in item.points:
                    for name, value in item.values.items():
                        self.writes[point.key, name] = value
            elif kind is PointDraft:
                self.drafts.setdefault(item.key, item)
            elif kind is Shaft:
                self.shafts[item.key] = item
            elif kind is Bearing:
                self.bearings[item.key] = item
            elif kind is Strike:
                self.struck.add(item.point)
            elif kind is not Undecided:
                self.others.setdefault(COLLECTION_OF[kind], []).append(item)
