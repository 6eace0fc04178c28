"""Reading a machine description: from JSON to `MachineDescription`, or every problem at once.

First every field is read by its own type. What could not be read is then taken out, and the checks
between fields run over the rest, so that a wrong unit in one place hides no mistake in another.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from specapp.domain.context import CriterionLimits, GasKind, ReadingContext, gas_key
from specapp.domain.findings import Findings, Location
from specapp.domain.json_document import load_document
from specapp.domain.machine import FORMAT, CriterionOverride, HazardousArea, MachineDescription
from specapp.domain.machine_checks import check_machine
from specapp.domain.machine_schema import machine_schema
from specapp.domain.problems import DOCUMENT, InputErrors, Problem
from specapp.domain.reference_checks import alternatives, check_references, override_value, range_text
from specapp.domain.scalars import Table

__all__ = [
    "CriterionLimits",
    "GasKind",
    "ReadingContext",
    "gas_key",
    "machine_json",
    "machine_schema",
    "read_machine",
]

_MOST_PROBLEMS = 200
_MOST_HINTS = 40


def read_machine(document: bytes | str | Mapping[str, Any], context: ReadingContext) -> MachineDescription:
    """Return the description a document holds, checked and normalised.

    Quantities become floats in default units, pinions without a name become P1, P2, ..., gases get the
    catalogue's name, overrides the criterion's unit. Raises `InputErrors` with every problem.
    """
    raw, key_problems = load_document(document)
    findings = Findings(raw)
    for place, problem in key_problems:
        findings.add(place, problem.allowed, found=problem.found)
    try:
        machine = MachineDescription.model_validate(raw)
    except ValidationError as error:
        details = error.errors(include_url=False)
        machine = _readable_part(raw, _field_problems(details, findings, context))
    check_machine(machine, context, findings)
    check_references(machine, context, findings)
    if findings.located:
        raise InputErrors(_in_document_order(findings.located, raw))
    return _normalised(machine, context)


def _normalised(machine: MachineDescription, context: ReadingContext) -> MachineDescription:
    changes: dict[str, Any] = {}
    if not all(pinion.name for pinion in machine.pinions):
        changes["pinions"] = tuple(
            pinion if pinion.name else pinion.model_copy(update={"name": f"P{index}"})
            for index, pinion in enumerate(machine.pinions, start=1)
        )
    if machine.gases:
        changes["gases"] = _gas_names(machine.gases, context)
    if machine.hazardous_area.area_gases:
        names = _gas_names(machine.hazardous_area.area_gases, context)
        changes["hazardous_area"] = machine.hazardous_area.model_copy(update={"area_gases": names})
    if machine.criteria:
        rows = {
            key: CriterionOverride(value=override_value(row.value, context.criteria[key]), reason=row.reason)
            for key, row in machine.criteria.items()
        }
        changes["criteria"] = Table(rows)
    return machine.model_copy(update=changes) if changes else machine


def _gas_names(names: tuple[str, ...], context: ReadingContext) -> tuple[str, ...]:
    known = [gas.name for gas in map(context.gas, names) if gas is not None]
    return tuple(dict.fromkeys(known))


def _field_problems(
    details: list[ErrorDetails], findings: Findings, context: ReadingContext
) -> list[Location]:
    """Record what single fields say is wrong, and return the places to take out."""
    places = []
    for number, detail in enumerate(details):
        place = detail["loc"]
        places.append(place)
        allowed, message = _allowed(detail, place, hint=number < _MOST_HINTS)
        if place[:1] == ("criteria",) and place[2:] == ("value",) and place[1] in context.criteria:
            allowed = range_text(context.criteria[str(place[1])])
        findings.add(place, allowed, message=message)
    return places


def _allowed(detail: ErrorDetails, place: Location, *, hint: bool) -> tuple[str, str]:
    kind, details = detail["type"], detail.get("ctx", {})
    if kind == "problem":
        return details["allowed"], details["message"]
    if kind == "extra_forbidden":
        owner = _model_at(place[:-1])
        known = list(owner.model_fields) if owner is not None else []
        close = alternatives(str(place[-1]), known) if hint else ""
        return "fields of machine/1 only", f"did you mean {close}?" if close else "no field has this name"
    if kind == "literal_error":
        return _words(details["expected"]), ""
    if kind in ("model_type", "model_attributes_type", "dict_type", "mapping_type"):
        return "an object with fields", ""
    if kind in ("tuple_type", "list_type"):
        return "a list", ""
    if kind == "too_long":
        return f"a list of at most {details['max_length']}", ""
    if kind == "bool_type":
        return "true or false", ""
    return detail["msg"], ""


def _words(expected: str) -> str:
    return expected.replace("'", "")


def _readable_part(raw: Mapping[str, Any], wrong: list[Location]) -> MachineDescription:
    """Return what is left of a description without the places that could not be read."""
    tree = _copied(raw)
    for place in wrong:
        _take_out(tree, place)
    return MachineDescription.model_validate(tree)


def _copied(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copied(item) for key, item in value.items()}
    return [_copied(item) for item in value] if isinstance(value, list) else value


def _take_out(tree: Any, place: Location) -> None:
    holder, steps = tree, []
    for part in place[:-1]:
        steps.append((holder, part))
        try:
            holder = holder[part]
        except (KeyError, IndexError, TypeError):
            return
    last = place[-1]
    if isinstance(holder, dict):
        holder.pop(last, None)
    elif isinstance(holder, list) and isinstance(last, int):
        if place[:-1] == ("pinions",):
            holder[last] = {}  # keeps the places of the other pinions
        elif steps and isinstance(steps[-1][0], dict):
            steps[-1][0].pop(steps[-1][1], None)


def _model_at(place: Location) -> type[BaseModel] | None:
    model: type[BaseModel] | None = MachineDescription
    for part in place:
        if model is None:
            return None
        if isinstance(part, int):
            continue
        field = model.model_fields.get(part)
        if field is not None:
            model = _model_of(field)
        # else: a key of a table, whose rows are of the model found one step earlier
    return model


def _model_of(field: FieldInfo) -> type[BaseModel] | None:
    waiting: list[Any] = [field.annotation]
    while waiting:
        candidate = waiting.pop()
        if isinstance(candidate, type) and issubclass(candidate, BaseModel):
            return candidate
        waiting.extend(get_args(candidate))
    return None


def _in_document_order(located: list[tuple[Location, Problem]], raw: Mapping[str, Any]) -> list[Problem]:
    ordered = [problem for _, problem in sorted(located, key=lambda item: _order(item[0], raw))]
    if len(ordered) > _MOST_PROBLEMS:
        more = len(ordered) - _MOST_PROBLEMS
        ordered = [
            *ordered[:_MOST_PROBLEMS],
            Problem(DOCUMENT, f"{more} more problems", "none", message="the first are listed"),
        ]
    return ordered


def _order(place: Location, raw: Any) -> tuple[int, ...]:
    order = []
    for depth, part in enumerate(place):
        if isinstance(part, int):
            order.append(part)
            raw = raw[part] if isinstance(raw, list) and part < len(raw) else None
            continue
        model = _model_at(place[:depth])
        is_table = depth == 1 and place[0] in ("sources", "criteria")
        names = list(model.model_fields) if model is not None and not is_table else []
        told = list(raw) if isinstance(raw, Mapping) and part not in names else []
        order.append(
            names.index(part) if part in names else len(names) + (told.index(part) if part in told else 0)
        )
        raw = raw.get(part) if isinstance(raw, Mapping) else None
    return tuple(order)


def machine_json(machine: MachineDescription) -> dict[str, Any]:
    """Return the canonical JSON form: plain numbers in default units, only what was told, in fixed order.

    `read_machine` accepts it again and gives an equal description.
    """
    written = _plain(machine)
    return {"format": FORMAT, **{key: value for key, value in written.items() if key != "format"}}


def _plain(value: Any) -> Any:
    """Return a value of the models as plain JSON; most fields are not told and passed over first."""
    kind = type(value)
    if kind is float:
        return int(value) if value.is_integer() else value
    if kind is str or kind is int or kind is bool:
        return value
    if kind is tuple:
        return [_plain(item) for item in value]
    if isinstance(value, BaseModel):
        if isinstance(value, HazardousArea) and value.unclassified:
            return "unclassified"
        rows = {}
        for name, item in value.__dict__.items():
            if item is None or item == "" or item == () or name == "unclassified":
                continue
            written = _plain(item)
            # A driver of which nothing is known is still a driver; a group without options is no group.
            if written != {} or kind.model_fields[name].default is None:
                rows[name] = written
        return rows
    return {key: _plain(item) for key, item in value.items()}
