"""Gases by name, synonym, formula or CAS number, and what the most severe of several asks of an area."""

from __future__ import annotations

import tomllib
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from difflib import get_close_matches
from functools import cache
from importlib import resources
from typing import Any, Final, Literal

from specapp.kernel.area_classes import (
    DIVISION_GROUPS,
    ZONE_GROUPS,
    System,
    required_temperature_class,
)
from specapp.kernel.errors import DomainError, KernelError, MissingInput

__all__ = [
    "Gas",
    "GasSeverity",
    "UnknownGas",
    "ValueSource",
    "all_gases",
    "find",
    "known_names",
    "most_severe",
]

GasKind = Literal["air", "inert", "flammable", "oxygen_enriched", "toxic"]
DataSet = Literal["IEC", "NFPA"]
_LONGEST_NAME: Final = 80


@dataclass(frozen=True, slots=True)
class ValueSource:
    """Where a value of a gas comes from; `status` is published, from memory or common practice."""

    source: str
    edition: str
    status: str


@dataclass(frozen=True, slots=True)
class Gas:
    """A gas or vapour; temperatures in degC, limits in percent by volume in air, None where not known.

    `nec_group` is the letter that holds without the exceptions of the code (explosionproof seals), and
    `nec_group_with_exceptions` the milder letter with them, where there is one. `limits_from` is the data
    set of the two limits.
    """

    name: str
    cas: str
    formula: str
    synonyms: tuple[str, ...]
    kind: GasKind
    toxic: bool = False
    iec_group: str | None = None
    nec_group: str | None = None
    nec_group_with_exceptions: str | None = None
    ignition_iec_c: float | None = None
    ignition_nfpa_c: float | None = None
    lower_limit_percent: float | None = None
    upper_limit_percent: float | None = None
    limits_from: DataSet = "IEC"
    value_source: str | None = None
    value_status: str | None = None
    note: str = ""

    @property
    def flammable(self) -> bool:
        return self.kind == "flammable"

    @property
    def inert(self) -> bool:
        return self.kind == "inert"

    @property
    def air(self) -> bool:
        return self.kind == "air"

    @property
    def oxygen_enriched(self) -> bool:
        return self.kind == "oxygen_enriched"

    @property
    def ignition_c(self) -> float | None:
        """The lower of the ignition temperatures of the two data sets [degC]."""
        found = [each for each in (self.ignition_iec_c, self.ignition_nfpa_c) if each is not None]
        return min(found) if found else None

    def source_of(self, field: str) -> ValueSource:
        """Return where the value of a field comes from."""
        shared = _table().sources[field]
        if self.value_source is None or field in ("kind", "toxic"):
            return shared
        return ValueSource(self.value_source, "", self.value_status or shared.status)


@dataclass(frozen=True, slots=True)
class GasSeverity:
    """What the most severe of several gases asks of an area, and which gas asks it.

    `groups` holds every group needed, most severe first: the letters of the division system do not include
    each other. `temperature_class` follows from the lowest ignition temperature of both data sets; the
    classes by each data set alone stand beside it, None where a gas has no value in it.
    """

    group: str
    group_gas: str
    groups: tuple[str, ...]
    temperature_class: str
    temperature_gas: str
    ignition_temperature_c: float
    data_set: DataSet
    temperature_class_iec: str | None
    temperature_class_nfpa: str | None


class UnknownGas(KernelError):
    """A name that no gas has; `close_matches` are names that look like it or share the formula."""

    def __init__(self, value: object, close_matches: tuple[str, ...]) -> None:
        super().__init__("gas", value, ", ".join(close_matches))
        self.args = (value, close_matches)
        self.close_matches = close_matches

    def __str__(self) -> str:
        shown = repr(self.value)[: _LONGEST_NAME + 2]
        if self.close_matches:
            meant = " or ".join(f'"{match}"' for match in self.close_matches)
            return f"gas {shown} is not known; did you mean {meant}?"
        return f"gas {shown} is not known; give the name or CAS number of a pure gas."


@dataclass(frozen=True, slots=True)
class _Table:
    gases: tuple[Gas, ...]
    sources: Mapping[str, ValueSource]
    by_name: Mapping[str, Gas]
    isomers: Mapping[str, tuple[str, ...]]


def _normal(text: str) -> str:
    # NFKC turns the subscript of CO₂ into a plain 2.
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def _gas(entry: dict[str, Any]) -> Gas:
    unknown = set(entry) - {field.name for field in fields(Gas)}
    if unknown:
        raise ValueError(f"gases.toml: {entry.get('name')}: unknown {', '.join(sorted(unknown))}")
    return Gas(**{**entry, "synonyms": tuple(entry["synonyms"])})


@cache
def _table() -> _Table:
    text = resources.files("specapp.catalogue").joinpath("data/gases.toml").read_text("utf-8")
    data = tomllib.loads(text)
    gases = tuple(_gas(entry) for entry in data["gas"])
    sources = {
        field: ValueSource(entry["source"], entry["edition"], entry["status"])
        for entry in data["source"]
        for field in entry["fields"]
    }
    by_name: dict[str, Gas] = {}
    by_formula: defaultdict[str, list[Gas]] = defaultdict(list)
    for gas in gases:
        for spelling in filter(None, (gas.name, gas.cas, *gas.synonyms)):
            if by_name.setdefault(_normal(spelling), gas) is not gas:
                raise ValueError(f"gases.toml: {spelling} stands for two gases")
        if gas.formula:
            by_formula[_normal(gas.formula)].append(gas)
    isomers = {}
    for formula, same in by_formula.items():
        if len(same) == 1:
            by_name.setdefault(formula, same[0])
        else:
            isomers[formula] = tuple(gas.name for gas in same)
    return _Table(gases, sources, by_name, isomers)


def all_gases() -> tuple[Gas, ...]:
    """Return every gas, in the order of the data file."""
    return _table().gases


def known_names() -> frozenset[str]:
    """Return every spelling that `find` takes, in lower case: names, synonyms, formulas, CAS numbers."""
    return frozenset(_table().by_name)


def find(name: str) -> Gas:
    """Return the gas of a name, synonym, formula or CAS number; case and spaces do not matter.

    A formula that several gases of the table share is refused, with their names.

    Raises
    ------
    UnknownGas
        If no gas, or more than one, goes by that name.
    """
    table = _table()
    if not isinstance(name, str) or len(name) > _LONGEST_NAME:
        raise UnknownGas(name, ())
    spelling = _normal(name)
    if gas := table.by_name.get(spelling):
        return gas
    if spelling in table.isomers:
        raise UnknownGas(name, table.isomers[spelling])
    close = get_close_matches(spelling, table.by_name, n=3, cutoff=0.75)
    raise UnknownGas(name, tuple(dict.fromkeys(table.by_name[match].name for match in close)))


def _class_by(gases: list[Gas], data_set: DataSet, system: System) -> str | None:
    values = [gas.ignition_iec_c if data_set == "IEC" else gas.ignition_nfpa_c for gas in gases]
    known = [value for value in values if value is not None]
    return required_temperature_class(min(known), system) if len(known) == len(values) else None


def most_severe(gases: Iterable[Gas], system: System = "zone") -> GasSeverity:
    """Return the gas group and temperature class that cover every flammable gas of several.

    Gases that do not burn are passed over. A mixture is taken as its worst component: the most severe group
    of any and the lowest ignition temperature of any, in both data sets (common practice, unless the mixture
    was tested).

    Parameters
    ----------
    gases : iterable of Gas
        Gases of the area or of the machine.
    system : {"zone", "division"}
        System of area classification: groups IIA to IIC, or letters A to D and the finer temperature classes.

    Raises
    ------
    DomainError
        If none of them is flammable.
    MissingInput
        If a flammable gas has no group in that system or no ignition temperature.
    """
    given = list(gases)
    burning = [gas for gas in given if gas.flammable]
    if not burning:
        raise DomainError(
            "gases", ", ".join(gas.name for gas in given) or "none", "at least one flammable gas"
        )
    order = ZONE_GROUPS if system == "zone" else tuple(DIVISION_GROUPS)
    by_group: dict[str, str] = {}
    ignitions: list[tuple[float, DataSet, str]] = []
    for gas in burning:
        group = gas.iec_group if system == "zone" else gas.nec_group
        if group is None:
            raise MissingInput(
                f"gas group of {gas.name}", None, f"a {system} classification; enter it by hand"
            )
        by_group.setdefault(group, gas.name)
        if gas.ignition_c is None:
            raise MissingInput(f"ignition temperature of {gas.name}", None, "a temperature class")
        if gas.ignition_iec_c is not None:
            ignitions.append((gas.ignition_iec_c, "IEC", gas.name))
        if gas.ignition_nfpa_c is not None:
            ignitions.append((gas.ignition_nfpa_c, "NFPA", gas.name))
    groups = tuple(sorted(by_group, key=order.index, reverse=True))
    ignition_c, data_set, temperature_gas = min(ignitions, key=lambda found: found[0])
    return GasSeverity(
        group=groups[0],
        group_gas=by_group[groups[0]],
        groups=groups,
        temperature_class=required_temperature_class(ignition_c, system),
        temperature_gas=temperature_gas,
        ignition_temperature_c=ignition_c,
        data_set=data_set,
        temperature_class_iec=_class_by(burning, "IEC", system),
        temperature_class_nfpa=_class_by(burning, "NFPA", system),
    )
