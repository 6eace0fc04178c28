"""Paths of machine/1 in words: the journal diameter of P2, the driver's power, the run of the cable."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

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
    named = _OWNERS.get(owner)
    return f"the {words} of {named}" if named else f"the {words}"


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
