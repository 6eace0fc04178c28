"""The rows of a proposal as they are compared: by key, without what only points into the trace."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from operator import attrgetter
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
    "overrides": ("value", "reason", "author", "at", "state", "rule_value", "note"),
    "conflicts": ("rules", "values"),
}
_SEPARATOR = " "
_LIST_OF_MAPPINGS = "safety_functions"
_NAMED: Mapping[str, Callable[[Any], Any]] = {name: attrgetter(*fields) for name, fields in _KEYS.items()}
_CONTENT: Mapping[str, Callable[[Any], Any]] = {
    name: attrgetter(*fields) for name, fields in _COMPARED.items()
}


def row_key(name: str, row: Any) -> str:
    """Return by what a row of a list of a proposal is known again."""
    if name == _LIST_OF_MAPPINGS:
        return str(row.get("key") or row.get("name") or row.get("function"))
    told = _NAMED[name](row)
    if type(told) is not tuple:
        return str(told)
    # Most parts are texts; asking each whether it is a list takes longer than all the rest.
    parts = [part if type(part) is str else str(_plain(part)) for part in told if part is not None]
    return _SEPARATOR.join(parts)


class KeyedRows(Mapping[str, Any]):
    """The rows of a list of a proposal by key; what a row says is put together when it is asked for."""

    def __init__(self, proposal: Proposal, name: str) -> None:
        self._name = name
        self._rows: dict[str, Any] = {}
        for row in getattr(proposal, name):
            key = row_key(name, row)
            unique, number = f"{key}\n", 2
            while unique in self._rows:  # rows of one key are counted, as a second frequency of one kind
                unique, number = f"{key}\n{number}", number + 1
            self._rows[unique] = row

    def __getitem__(self, key: str) -> Any:
        return _content(self._name, self._rows[key])

    def __iter__(self) -> Iterator[str]:
        return iter(self._rows)

    def __len__(self) -> int:
        return len(self._rows)

    def __contains__(self, key: object) -> bool:
        return key in self._rows

    def differing(self, was: KeyedRows) -> Iterator[str]:
        """Yield the keys, these first, of the rows that are not in both or do not say the same."""
        says = _CONTENT.get(self._name)
        for key, row in self._rows.items():
            before = was._rows.get(key)
            if before is row:
                continue
            # What the records hold is compared as it stands first: most rows say the same.
            if before is not None and says is not None and says(before) == says(row):
                continue
            if before is None or _content(self._name, before) != _content(self._name, row):
                yield key
        yield from (key for key in was._rows if key not in self._rows)


def _content(name: str, row: Any) -> Any:
    if name == _LIST_OF_MAPPINGS:
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
