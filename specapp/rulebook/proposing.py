"""From a machine document to its proposal: reading, criteria, gases and engine in one call."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from specapp.catalogue import gases
from specapp.criteria.loader import CriteriaSet, load_defaults, read_criteria_file
from specapp.criteria.loader import Override as CriterionValue
from specapp.criteria.ordering import out_of_order
from specapp.domain.context import GasKind, ReadingContext, gas_key
from specapp.domain.machine import MachineDescription
from specapp.domain.overrides import Override
from specapp.domain.problems import InputErrors
from specapp.domain.proposal import Proposal
from specapp.domain.reading import read_machine
from specapp.rulebook.engine import propose


def criteria_in_force(criteria_file: bytes | None = None) -> CriteriaSet:
    """Return the default criteria with a project's file of overrides over them.

    Raises
    ------
    InputErrors
        With every problem of the file.
    """
    criteria = load_defaults()
    if criteria_file is None:
        return criteria
    return _in_order(criteria.with_overrides(read_criteria_file(criteria_file), origin="project"))


def _in_order(criteria: CriteriaSet) -> CriteriaSet:
    """Return the criteria; raise InputErrors where an override has passed its partner."""
    problems = out_of_order(criteria)
    if problems:
        raise InputErrors(problems)
    return criteria


@lru_cache(maxsize=1)
def _gas_kinds() -> dict[str, GasKind]:
    known = {}
    for name in gases.known_names():
        gas = gases.find(name)
        known[gas_key(name)] = GasKind(gas.name, gas.flammable, gas.toxic, gas.oxygen_enriched, gas.air)
    return known


def reading_context(criteria: CriteriaSet) -> ReadingContext:
    """Return what a description is held against while it is read: gas names and criteria."""
    return ReadingContext(gas_kinds=_gas_kinds(), criteria=criteria.limits())


def propose_description(
    machine: MachineDescription, criteria: CriteriaSet, overrides: Sequence[Override] = ()
) -> Proposal:
    """Return the proposal for a description already read; its own overrides win over `criteria`."""
    told = {key: CriterionValue(float(item.value), item.reason) for key, item in machine.criteria.items()}
    in_force = _in_order(criteria.with_overrides(told, origin="machine")) if told else criteria
    names = [*machine.gases, *(machine.hazardous_area.area_gases or ())]
    return propose(machine, in_force, {name: gases.find(name) for name in names}, overrides)


def propose_document(
    document: bytes | str | Mapping[str, Any],
    criteria_file: bytes | None = None,
    overrides: Sequence[Override] = (),
) -> Proposal:
    """Read a machine/1 document and return its proposal.

    Raises
    ------
    InputErrors
        With every problem of the document, or of the criteria file, at once.
    """
    criteria = criteria_in_force(criteria_file)
    return propose_description(read_machine(document, reading_context(criteria)), criteria, overrides)
