"""What a reader of descriptions must know from elsewhere: the gases and the criteria that exist.

The domain imports neither the catalogue nor the criteria; whoever reads a description passes this in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class GasKind:
    """What decides whether a gas may be handled: its name and what is dangerous about it."""

    name: str
    flammable: bool = False
    toxic: bool = False
    oxygen_enriched: bool = False
    air: bool = False


@dataclass(frozen=True, slots=True)
class CriterionLimits:
    """The range an override of one criterion must stay in, in the criterion's own unit.

    `kind` is a key of `kernel.units.KINDS` where the value is a quantity that may be typed with a unit;
    `choices` where the value is a word; `default` is the value in force without an override.
    """

    unit: str
    minimum: float | None = None
    maximum: float | None = None
    whole: bool = False
    kind: str | None = None
    choices: tuple[str, ...] = ()
    default: float | str | None = None


def gas_key(name: str) -> str:
    """Return a gas name as a key: capitals and outer or doubled spaces do not matter."""
    return " ".join(name.split()).casefold()


@dataclass(frozen=True, slots=True)
class ReadingContext:
    """Gases by `gas_key` of every name and number they go by, and criteria by key."""

    gas_kinds: Mapping[str, GasKind] = field(default_factory=dict)
    criteria: Mapping[str, CriterionLimits] = field(default_factory=dict)

    def gas(self, name: str) -> GasKind | None:
        """Return what a name or number means, or None."""
        return self.gas_kinds.get(gas_key(name))
