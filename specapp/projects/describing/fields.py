"""Form fields read off the types of a machine description, so that the two cannot drift apart."""

import re
import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from specapp.criteria.loader import load_defaults
from specapp.domain.devices import DEVICE_NAMES
from specapp.domain.machine import MachineDescription
from specapp.domain.quantities import Quantity
from specapp.domain.scalars import Conductor, Text, Whole
from specapp.projects.describing.words import CHOICE_WORDS, EXAMPLES, HELP, label_of

# The place of a pinion in the stored description, so that what people decided about it can follow it.
WAS = "was"
QUANTITY, WHOLE, TEXT, CONDUCTOR, CHOICE, YES_NO, LIST, NUMBER_OR_WORD = (
    "quantity",
    "whole",
    "text",
    "conductor",
    "choice",
    "yes_no",
    "list",
    "number_or_word",
)


@dataclass(frozen=True, slots=True)
class FieldSpec:
    """One leaf of the description: where it stands, what it is called, what may be typed."""

    name: str
    kind: str
    label: str
    help: str = ""
    unit: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    item_kind: str = TEXT
    is_required: bool = False


@dataclass(frozen=True, slots=True)
class RowsSpec:
    """A list of objects (pinions) or a table by key (criteria, sources): one form block a row."""

    name: str
    label: str
    fields: Mapping[str, FieldSpec]
    is_table: bool
    most: int

    @property
    def leaves(self) -> tuple[str, ...]:
        """The fields of a row as posted; a pinion also says which of the stored pinions it is."""
        return tuple(self.fields) if self.is_table else (*self.fields, WAS)


@dataclass(frozen=True, slots=True)
class DescriptionSpec:
    """All fields of a machine description: single ones by path, rows by the name of their list."""

    fields: Mapping[str, FieldSpec] = field(default_factory=dict)
    rows: Mapping[str, RowsSpec] = field(default_factory=dict)


# What the first proposal needs; a speed may instead follow from the driver or from tooth numbers.
_REQUIRED = frozenset(
    {
        "tag",
        "service_class",
        "stage_count",
        "bull_gear.speed",
        "pinions.speed",
        "hazardous_area.classification",
    }
)
_NOT_TYPED = frozenset({"format"})
_AREA_WORDS = frozenset({"hazardous_area.unclassified", "hazardous_area.zone", "hazardous_area.division"})
_CLASSIFICATION = FieldSpec(
    "hazardous_area.classification",
    CHOICE,
    "Hazardous area",
    "Where the transducers stand.",
    choices=(
        ("unclassified", "unclassified"),
        ("zone 0", "zone 0"),
        ("zone 1", "zone 1"),
        ("zone 2", "zone 2"),
        ("division 1", "division 1"),
        ("division 2", "division 2"),
    ),
    is_required=True,
)
_MOST_TABLE_ROWS = 200
_DEVICES = tuple((name, CHOICE_WORDS.get(name, name.replace("_", " "))) for name in DEVICE_NAMES)


def _description_spec() -> DescriptionSpec:
    fields: dict[str, FieldSpec] = {}
    rows: dict[str, RowsSpec] = {}
    for name, annotation, metadata in _leaves(MachineDescription, ""):
        if name in _NOT_TYPED:
            continue
        if name in _AREA_WORDS:
            fields[_CLASSIFICATION.name] = _CLASSIFICATION
            continue
        row_model, is_table = _row_model(annotation)
        if row_model is None:
            fields[name] = _field(name, annotation, metadata)
            continue
        own = {leaf: _field(f"{name}.{leaf}", kind, extra) for leaf, kind, extra in _leaves(row_model, "")}
        if is_table:
            key_label, key_help = label_of(f"{name}.key"), HELP.get(f"{name}.key", "")
            kind, choices = (CHOICE, _DEVICES) if name == "devices" else (TEXT, ())
            key = FieldSpec(f"{name}.key", kind, key_label, key_help, choices=choices, is_required=True)
            own = {"key": key, **own}
        most = next((item.max_length for item in metadata if hasattr(item, "max_length")), _MOST_TABLE_ROWS)
        rows[name] = RowsSpec(name, label_of(name), own, is_table, most)
    return DescriptionSpec(fields, rows)


def _leaves(model: type[BaseModel], prefix: str) -> Iterator[tuple[str, Any, list[Any]]]:
    for name, info in model.model_fields.items():
        annotation = _without_none(info.annotation)
        path = f"{prefix}{name}"
        if isinstance(annotation, type) and issubclass(annotation, BaseModel):
            yield from _leaves(annotation, f"{path}.")
        else:
            yield path, annotation, list(info.metadata)


def _without_none(annotation: Any) -> Any:
    if get_origin(annotation) in (Union, types.UnionType):
        kept = [item for item in get_args(annotation) if item is not type(None)]
        return kept[0] if len(kept) == 1 else annotation
    return annotation


def _row_model(annotation: Any) -> tuple[type[BaseModel] | None, bool]:
    origin, inner = get_origin(annotation), get_args(annotation)
    if not isinstance(origin, type) or not issubclass(origin, Mapping | tuple):
        return None, False
    is_table = issubclass(origin, Mapping)
    model = inner[-1] if is_table else inner[0]
    return (model, is_table) if isinstance(model, type) and issubclass(model, BaseModel) else (None, False)


def _field(name: str, annotation: Any, metadata: list[Any]) -> FieldSpec:
    label, help_text, required = label_of(name), HELP.get(name, ""), name in _REQUIRED
    if get_origin(annotation) is Annotated:
        annotation, *metadata = get_args(annotation)
    kind = next((item for item in metadata if isinstance(item, Quantity | Whole | Text | Conductor)), None)
    if isinstance(kind, Quantity):
        typical = EXAMPLES.get(name, kind.example)
        example = f"for example {typical}" if typical else ""
        text = "; ".join(part for part in (help_text, kind.range_text, example) if part)
        return FieldSpec(name, QUANTITY, label, text, kind.label, is_required=required)
    if isinstance(kind, Whole):
        return FieldSpec(
            name, WHOLE, label, help_text or f"{kind.minimum} to {kind.maximum}", is_required=required
        )
    if isinstance(kind, Conductor):
        return FieldSpec(
            name, CONDUCTOR, label, f"for example 1.0 mm2 or AWG 18{'; ' if help_text else ''}{help_text}"
        )
    if isinstance(kind, Text):
        return FieldSpec(name, TEXT, label, help_text or kind.allowed, is_required=required)
    if get_origin(annotation) is Literal:
        choices = tuple(
            (value, CHOICE_WORDS.get(value, value.replace("_", " "))) for value in get_args(annotation)
        )
        return FieldSpec(name, CHOICE, label, help_text, choices=choices, is_required=required)
    if annotation is bool:
        return FieldSpec(name, YES_NO, label, help_text, choices=(("yes", "yes"), ("no", "no")))
    if get_origin(annotation) is tuple:
        item = _field(name, get_args(annotation)[0], [])
        return FieldSpec(name, LIST, label, help_text, item_kind=item.kind)
    if annotation == float | str:
        return FieldSpec(name, NUMBER_OR_WORD, label, help_text, is_required=True)
    raise TypeError(f"{name}: no form field is known for {annotation!r}")


DESCRIPTION = _description_spec()

_ROW_PATH = re.compile(r"([a-z_]+)\[(\d+)\]\.(.+)")
_CRITERION_PATH = re.compile(r'criteria\["([^"]+)"\]')


def fact_words(path: str, machine: Mapping[str, Any]) -> str:
    """Return the path of a fact as words: "pinions[0].axial_float" is "P1, axial float"."""
    match = _ROW_PATH.fullmatch(path)
    if match and match[1] == "pinions" and match[3] in DESCRIPTION.rows["pinions"].fields:
        pinions = machine.get("pinions") or ()
        place = int(match[2])
        name = pinions[place].get("name") if place < len(pinions) else ""
        label = DESCRIPTION.rows["pinions"].fields[match[3]].label
        return f"{name or f'P{place + 1}'}, {label[0].lower()}{label[1:]}"
    spec = DESCRIPTION.fields.get(path)
    table, _, rest = path.partition(".")
    key, _, leaf = rest.partition(".")
    if table == "devices" and leaf in DESCRIPTION.rows[table].fields:
        label = DESCRIPTION.rows[table].fields[leaf].label
        device = dict(_DEVICES).get(key, key)
        return f"{device[:1].upper()}{device[1:]}, {label[0].lower()}{label[1:]}"
    if path == "devices":
        return "Data of the devices"
    if criterion := _CRITERION_PATH.fullmatch(path):
        defaults = load_defaults()
        return defaults.get(criterion[1]).title if criterion[1] in defaults else criterion[1]
    if spec is None:
        return path.replace("_", " ") if path.replace("_", "").isalpha() else path
    group = {"driver": "Driver, ", "bull_gear": "Bull gear, "}.get(path.partition(".")[0], "")
    label = spec.label
    if not group or label.startswith(("Bull gear", "Driver")):
        return label
    return f"{group}{label[0].lower()}{label[1:]}"
