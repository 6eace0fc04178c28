"""Descriptions in which one number is another, for the tests of what such a change turns."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from specapp.domain.machine import MachineDescription
from specapp.domain.problems import InputErrors
from specapp.domain.reading import machine_json, read_machine
from specapp.rulebook.description_paths import with_value
from specapp.rulebook.proposing import criteria_in_force, reading_context

CRITERIA = criteria_in_force()
CONTEXT = reading_context(CRITERIA)
SAMPLES = Path(__file__).resolve().parents[2] / "fixtures" / "machines"


def read(document: dict[str, Any]) -> MachineDescription:
    """Return a description as it is read from a document."""
    return read_machine(document, CONTEXT)


def sample(name: str) -> dict[str, Any]:
    """Return one of the sample documents."""
    document: dict[str, Any] = json.loads((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))
    return document


def moved(machine: MachineDescription, path: str, value: float) -> MachineDescription | None:
    """Return the description with another number, read anew; None where that is not allowed."""
    try:
        return read(machine_json(with_value(machine, path, value)))
    except InputErrors:
        return None
