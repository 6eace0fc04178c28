"""Reading a document by the types of a model: problems in the project's words and in the document's order.

The readers of machine/1 and of bids/1 share it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from specapp.domain.findings import Location
from specapp.domain.problems import DOCUMENT, Problem, alternatives

# Looking for names like an unknown one takes time, which a document of nothing but those must not cost.
MOST_HINTS = 40
_MOST_PROBLEMS = 200


def allowed_text(detail: ErrorDetails, root: type[BaseModel], kind: str, *, hint: bool) -> tuple[str, str]:
    """Return what is allowed where a field could not be read, and a further explanation or nothing.

    `root` is the type of the whole document, `kind` its format; `hint` looks for names like an unknown one.
    """
    problem, details, place = detail["type"], detail.get("ctx", {}), detail["loc"]
    if problem == "problem":
        return details["allowed"], details["message"]
    if problem == "extra_forbidden":
        owner = model_at(root, place[:-1])
        known = list(owner.model_fields) if owner is not None else []
        close = alternatives(str(place[-1]), known) if hint else ""
        return f"fields of {kind} only", f"did you mean {close}?" if close else "no field has this name"
    if problem == "literal_error":
        return details["expected"].replace("'", ""), ""
    if problem in ("model_type", "model_attributes_type", "dict_type", "mapping_type"):
        return "an object with fields", ""
    if problem in ("tuple_type", "list_type"):
        return "a list", ""
    if problem == "too_long":
        return f"a list of at most {details['max_length']}", ""
    if problem == "bool_type":
        return "true or false", ""
    return detail["msg"], ""


def without(raw: Mapping[str, Any], wrong: Iterable[Location], *, emptied: str) -> Any:
    """Return a copy of a document without the places that could not be read.

    An item of the list `emptied` is left as an empty object, so that the others keep their places; any
    other list with an unreadable item goes as a whole.
    """
    tree = _copied(raw)
    for place in wrong:
        _take_out(tree, place, emptied)
    return tree


def _copied(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copied(item) for key, item in value.items()}
    return [_copied(item) for item in value] if isinstance(value, list) else value


def _take_out(tree: Any, place: Location, emptied: str) -> None:
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
        if place[:-1] == (emptied,):
            holder[last] = {}
            return
        owner = next((step for step in reversed(steps) if isinstance(step[0], dict)), None)
        if owner is not None:
            owner[0].pop(owner[1], None)


def model_at(root: type[BaseModel], place: Location) -> type[BaseModel] | None:
    """Return the type of the object at a place of a document, None where none is known."""
    model: type[BaseModel] | None = root
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


def in_document_order(
    located: Iterable[tuple[Location, Problem]],
    raw: Mapping[str, Any],
    root: type[BaseModel],
    tables: tuple[str, ...] = (),
) -> list[Problem]:
    """Return problems in the order of the fields, the first 200 of them; `tables` have keys of the user."""
    told: dict[int, dict[str, int]] = {}
    order = sorted(located, key=lambda item: _order(item[0], raw, root, tables, told))
    ordered = [problem for _, problem in order]
    if len(ordered) > _MOST_PROBLEMS:
        more = len(ordered) - _MOST_PROBLEMS
        ordered = [
            *ordered[:_MOST_PROBLEMS],
            Problem(DOCUMENT, f"{more} more problems", "none", message="the first are listed"),
        ]
    return ordered


def _order(
    place: Location,
    raw: Any,
    root: type[BaseModel],
    tables: tuple[str, ...],
    told: dict[int, dict[str, int]],
) -> tuple[int, ...]:
    """Return what sorts a place: fields as their type has them, then other keys as the document has them.

    `told` keeps the places of the keys of each object, which may be thousands.
    """
    order = []
    for depth, part in enumerate(place):
        if isinstance(part, int):
            order.append(part)
            raw = raw[part] if isinstance(raw, list) and part < len(raw) else None
            continue
        model = model_at(root, place[:depth])
        is_table = depth == 1 and place[0] in tables
        names = list(model.model_fields) if model is not None and not is_table else []
        if part in names:
            order.append(names.index(part))
        else:
            if id(raw) not in told:
                keys = raw if isinstance(raw, Mapping) else ()
                told[id(raw)] = {key: number for number, key in enumerate(keys)}
            order.append(len(names) + told[id(raw)].get(part, 0))
        raw = raw.get(part) if isinstance(raw, Mapping) else None
    return tuple(order)
