"""Paths of machine/1 in words: the journal diameter of P2, the driver's power, the run of the cable."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from specapp.domain.machine_columns import columns

# Units as they are printed in a sentence, where that is not their name; a ratio has none.
UNIT_WORDS = {"rpm": "r/min", "1": ""}
_DEVICE_WORDS = {
    "dangerous_undetected_per_h": "rate of dangerous undetected failures",
    "dangerous_detected_per_h": "rate of dangerous detected failures",
    "safe_detected_per_h": "rate of safe detected failures",
    "safe_undetected_per_h": "rate of safe undetected failures",
    "beta": "common-cause share of undetected failures",
    "beta_detected": "common-cause share of detected failures",
    **{
        f"{letter}i_{unit}": f"{letter.upper()}i"
        for letter, unit in zip("uipcl", ("v", "ma", "w", "nf", "uh"), strict=True)
    },
    **{
        f"{letter}o_{unit}": f"{letter.upper()}o"
        for letter, unit in zip("uipcl", ("v", "ma", "w", "nf", "mh"), strict=True)
    },
    "lo_ro_uh_per_ohm": "Lo/Ro",
    "minimum_voltage_v": "least voltage",
    "supply_minimum_v": "least supply voltage",
}
# Fields of devices end in their units.
_DEVICE_UNITS = frozenset({"v", "ma", "w", "mw", "ohm", "nf", "uh", "mh", "pf", "s", "h", "m"})
_PINION = re.compile(r"pinions\[(\d+)\]")
_OWNERS = {
    "bull_gear": "the bull gear",
    "driver": "the driver",
    "driver.rolling_bearing": "the driver's rolling bearing",
    "hazardous_area": "the area",
    "ambient": "the air",
    "installation.notch": "the notch",
}


def pinion_names(machine: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the pinions' names in a machine/1 document, by place where none was told."""
    named = enumerate(machine.get("pinions", ()), start=1)
    return tuple(pinion.get("name") or f"P{number}" for number, pinion in named)


def fact_words(path: str, pinions: Sequence[str]) -> str:
    """Return a machine/1 path in words; ``pinions`` are their names in the order of the document."""
    owner, _, last = path.rpartition(".")
    words = "SIL target" if last == "sil_target" else last.replace("_", " ")
    found = _PINION.fullmatch(owner)
    if found is not None and int(found[1]) < len(pinions):
        return f"the {words} of {pinions[int(found[1])]}"
    if owner.startswith("devices."):
        plain = " ".join(word for word in words.split() if word not in _DEVICE_UNITS)
        quantity = _DEVICE_WORDS.get(last, plain)
        return f"the {quantity} of the {owner.removeprefix('devices.').replace('_', ' ')}"
    named = _OWNERS.get(owner)
    return f"the {words} of {named}" if named else f"the {words}"


# How machine/1 writes one of the choices of a field, such as thrust_collar; nobody types a text like it.
_CHOICE = re.compile("[a-z]+(?:_[a-z]+)+")


def value_words(path: str, value: Any) -> str:
    """Return a value of machine/1 in words, a quantity with the unit of its field."""
    if value is None or value == "":
        return "not told"
    if isinstance(value, str) and _CHOICE.fullmatch(value):
        return value.replace("_", " ")
    if isinstance(value, str | bool) or not isinstance(value, int | float):
        return ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)
    column = columns().get(path)
    unit = "" if column is None or column.quantity is None else column.quantity.unit
    return f"{value:.6g} {UNIT_WORDS.get(unit, unit)}".rstrip()


def value_at(machine: Mapping[str, Any], path: str) -> Any:
    """Return what a machine/1 document gives at a path, None where it gives nothing."""
    value: Any = machine
    for part in re.findall(r"[^.\[\]]+", path):
        if isinstance(value, Mapping):
            value = value.get(part)
        elif isinstance(value, list) and part.isdigit() and int(part) < len(value):
            value = value[int(part)]
        else:
            return None
    return value
