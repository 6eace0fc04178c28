"""The criteria in force together: looked up by key, overridden with reasons, told apart by a digest."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from difflib import get_close_matches
from functools import cached_property
from hashlib import sha256

import msgspec
from msgspec.structs import replace as replace_struct

from specapp.criteria.criterion import FROM_MEMORY, PUBLISHED, Criterion, Override
from specapp.domain.context import CriterionLimits
from specapp.domain.proposal import CriterionRead

# The kind of quantity an override may be typed as. K and K/s stay out: as a unit of the kind
# "temperature" the kelvin is a point of the scale, here it is a difference.
_KIND_OF_UNIT = {
    "um": "vibration",
    "mil": "vibration",
    "mm": "length",
    "m": "run",
    "mm/s": "velocity",
    "in/s": "velocity",
    "m/s": "velocity",
    "g": "acceleration",
    "rpm": "speed",
    "Hz": "frequency",
    "s": "time",
    "ms": "time",
    "us": "time",
    "kW": "power",
    "degC": "temperature",
    "V": "voltage",
    "mA": "current",
    "deg": "angle",
    "V/mm": "sensitivity",
}


class CriterionNotFound(KeyError):
    """No criterion has this key; names the ones spelled most like it."""

    def __init__(self, key: str, known: Iterable[str]) -> None:
        self.key = key
        self.close_matches = tuple(get_close_matches(key, list(known), n=3, cutoff=0.6))
        super().__init__(key)

    def __str__(self) -> str:
        close = f"; close to it: {', '.join(self.close_matches)}" if self.close_matches else ""
        return f"no criterion has the key {self.key!r}{close}"


class OverrideOutOfRange(ValueError):
    """An override lies outside what its criterion allows."""


class _Known(dict[str, Criterion]):
    """Criteria by key; an unknown key is refused with those close to it."""

    def __missing__(self, key: str) -> Criterion:
        raise CriterionNotFound(key, self)


class _Values(dict[str, float]):
    """Values in force by key; an unknown key is refused with those close to it."""

    def __missing__(self, key: str) -> float:
        raise CriterionNotFound(key, self)


class CriteriaSet:
    """Criteria by key, in alphabetical order. Never changes; an override gives a new set."""

    get: Callable[[str], Criterion]
    """Return the criterion in force. Raises CriterionNotFound."""

    values: Mapping[str, float]
    """The values in force by key, each in its criterion's unit. Raises CriterionNotFound."""

    def __init__(self, criteria: Iterable[Criterion]) -> None:
        self._criteria = _Known(
            (criterion.key, criterion) for criterion in sorted(criteria, key=lambda each: each.key)
        )
        # Every rule reads through it, hundreds of times a proposal: the look-up itself, nothing around it.
        self.get = self._criteria.__getitem__
        self.values = _Values((key, criterion.value) for key, criterion in self._criteria.items())

    def value(self, key: str) -> float:
        """Return the value in force, in the criterion's unit. Raises CriterionNotFound."""
        return self.values[key]

    def keys(self) -> tuple[str, ...]:
        """Return every key in alphabetical order."""
        return tuple(self._criteria)

    def __iter__(self) -> Iterator[Criterion]:
        return iter(self._criteria.values())

    def __len__(self) -> int:
        return len(self._criteria)

    def __contains__(self, key: object) -> bool:
        return key in self._criteria

    @cached_property
    def digest(self) -> str:
        """Return "sha256 <hex>" over every value in force with its origin, edition, status and reason."""
        return f"sha256 {sha256(msgspec.json.encode([_matters(each) for each in self])).hexdigest()}"

    def limits(self) -> Mapping[str, CriterionLimits]:
        """Return what an override of each criterion may be, for the reading of a description."""
        return self._limits

    @cached_property
    def _limits(self) -> Mapping[str, CriterionLimits]:
        return {
            each.key: CriterionLimits(
                unit=each.unit,
                minimum=each.minimum,
                maximum=each.maximum,
                whole=each.whole,
                kind=_KIND_OF_UNIT.get(each.unit),
                default=each.value,
            )
            for each in self
        }

    def with_overrides(self, overrides: Mapping[str, Override], origin: str) -> CriteriaSet:
        """Return a set in which the overrides are in force.

        `origin` is "machine" or "project". Raises CriterionNotFound or OverrideOutOfRange.
        """
        if not overrides:
            return self
        changed = {key: _overridden(self.get(key), override, origin) for key, override in overrides.items()}
        return CriteriaSet({**self._criteria, **changed}.values())

    def with_confirmed(self, confirmed: Mapping[str, tuple[float, str]]) -> CriteriaSet:
        """Return a set in which values from memory count as published where they were confirmed.

        `confirmed` is the value that was held against a copy, and by whom and which, by key; where it is
        not the value in force, or the criterion is not from memory, it says nothing.
        """
        changed = {}
        for key, (value, told) in confirmed.items():
            criterion = self._criteria.get(key)
            if criterion is None or criterion.status != FROM_MEMORY or criterion.value != value:
                continue
            changed[key] = replace(
                criterion,
                status=PUBLISHED,
                edition=told,
                read=replace_struct(criterion.read, status=PUBLISHED),
                confirmed=told,
            )
        return CriteriaSet({**self._criteria, **changed}.values()) if changed else self


def _overridden(criterion: Criterion, override: Override, origin: str) -> Criterion:
    value = float(override.value)
    if not criterion.allows(value):
        raise OverrideOutOfRange(f"{criterion.key} is {value:g}; allowed: {criterion.allowed()}")
    default = criterion.override["default"] if criterion.override else criterion.value
    record = {"value": value, "reason": override.reason, "origin": origin, "default": default}
    if override.source:
        record["source"] = override.source
    if override.dated:
        record["date"] = override.dated.isoformat()
    status = FROM_MEMORY if criterion.confirmed else criterion.status
    read = CriterionRead(criterion.key, value, criterion.unit, status, record)
    return replace(criterion, value=value, override=record, status=status, confirmed="", read=read)


def _matters(criterion: Criterion) -> tuple[object, ...]:
    return (
        criterion.key,
        criterion.value,
        criterion.unit,
        criterion.minimum,
        criterion.maximum,
        criterion.whole,
        criterion.source,
        criterion.edition,
        criterion.status,
        criterion.valid_from,
        criterion.override,
    )
