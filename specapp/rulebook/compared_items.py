"""The rows of a proposal as they are compared: by key, without what only points into the trace."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from specapp.domain.proposal import Proposal, Record

# By which fields a row is known again, and which fields say what it is. A trace index says nothing.
_KEYS: Mapping[str, tuple[str, ...]] = {
    "assumptions": ("field",),
    "open_points": ("key",),
    "shafts": ("name",),
    "frequencies": ("shaft", "kind", "order"),
    "bill_of_materials": ("item", "supplied_by"),
    "cause_and_effect": ("cause", "level"),
    "process_protection": ("key",),
    "responsibility": ("link",),
    "governing": ("standard", "part"),
    "overrides": ("item", "field"),
    "conflicts": ("item", "field"),
}
_COMPARED: Mapping[str, tuple[str, ...]] = {
    "assumptions": ("value",),
    "open_points": ("text", "ask"),
    "shafts": ("speed", "ratio", "acceptance_limit", "stages", "maker_name"),
    "frequencies": ("frequency",),
    "bill_of_materials": ("quantity", "spares", "description"),
    "cause_and_effect": ("effects", "delay", "voting", "setting", "acts_in"),
    "process_protection": ("alarm", "trip", "voting", "acts_in"),
    "responsibility": ("owner", "assumed"),
    "governing": ("edition", "role"),
    "overrides": ("value", "reason", "author", "at", "state", "rule_value"),
    "conflicts": ("rules", "values"),
}
# Rows that several of one key may stand in: they are counted, as a second frequency of one kind.
_SEPARATOR = " "


def row_key(name: str, row: Any) -> str:
    """Return by what a row of a list of a proposal is known again."""
    if name == "safety_functions":
        return str(row.get("key") or row.get("name") or row.get("function"))
    return _SEPARATOR.join(str(_plain(getattr(row, field))) for field in _KEYS[name] if _told(row, field))


def _told(row: Any, field: str) -> bool:
    return getattr(row, field) is not None


def plain_rows(proposal: Proposal, name: str) -> dict[str, Any]:
    """Return what each row of a list of a proposal says, by its key."""
    rows: dict[str, Any] = {}
    for row in getattr(proposal, name):
        key = row_key(name, row)
        number = 2
        unique = f"{key}\n"
        while unique in rows:
            unique = f"{key}\n{number}"
            number += 1
        rows[unique] = _content(name, row)
    return rows


def _content(name: str, row: Any) -> Any:
    if name == "safety_functions":
        return {field: value for field, value in row.items() if field != "trace"}
    compared = _COMPARED[name]
    if len(compared) == 1:
        return _plain(getattr(row, compared[0]))
    return {field: _plain(getattr(row, field)) for field in compared}


def _plain(value: Any) -> Any:
    """Return tuples and lists alike, since a stored proposal comes back with lists where any value may be."""
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    return value


_COUNTS: Mapping[str, Callable[[Proposal], Any]] = {
    "junction_boxes": lambda proposal: len(proposal.architecture.junction_boxes),
    "racks": lambda proposal: len(proposal.architecture.racks),
    "modules": lambda proposal: sum(len(rack.modules) for rack in proposal.architecture.racks),
    "spare_channels": lambda proposal: sum(rack.spare_channels for rack in proposal.architecture.racks),
    "relays": lambda proposal: len(proposal.architecture.relays),
    "power_supplies": lambda proposal: proposal.architecture.power_supplies,
    "cables": lambda proposal: len(proposal.architecture.cables),
    "interfaces": lambda proposal: len(proposal.architecture.interfaces),
}


def compared_architecture(proposal: Proposal) -> dict[str, Any]:
    """Return the counts of the architecture, and each rack's modules of each kind."""
    counts = {f"{name}\n": count(proposal) for name, count in _COUNTS.items()}
    for rack in proposal.architecture.racks:
        for module in rack.modules:
            key = f"{rack.key}\n{module.kind} modules"
            counts[key] = counts.get(key, 0) + 1
    return counts


def traced(row: Record | Mapping[str, Any]) -> tuple[int, ...]:
    """Return the trace indexes of a row, none where it has none."""
    found = row.get("trace") if isinstance(row, Mapping) else getattr(row, "trace", None)
    return tuple(found or ())
