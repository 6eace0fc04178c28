"""Descriptions and a reading context for the tests of this package."""

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from specapp.domain.problems import InputErrors
from specapp.domain.reading import CriterionLimits, GasKind, ReadingContext, gas_key, read_machine

FIXTURES = sorted((Path(__file__).parents[2] / "fixtures" / "machines").glob("*.json"))

_GASES = {
    "air": GasKind("air", air=True),
    "nitrogen": GasKind("nitrogen"),
    "carbon dioxide": GasKind("carbon dioxide"),
    "124-38-9": GasKind("carbon dioxide"),
    "hydrogen": GasKind("hydrogen", flammable=True),
    "ammonia": GasKind("ammonia", flammable=True, toxic=True),
    "chlorine": GasKind("chlorine", toxic=True),
    "oxygen": GasKind("oxygen", oxygen_enriched=True),
}
CONTEXT = ReadingContext(
    gas_kinds={gas_key(name): kind for name, kind in _GASES.items()},
    criteria={
        "radial.trip_multiple": CriterionLimits("1", 1.2, 3.0, default=2.0),
        "axial.float_default": CriterionLimits("mm", 0.1, 1.0, kind="length", default=0.35),
        "delay.process": CriterionLimits("s", 0.0, None, kind="time", default=1.0),
        "rack.positions": CriterionLimits("1", 4, 20, whole=True, default=14),
        "trip.voting": CriterionLimits("1", choices=("1oo2", "2oo2"), default="1oo2"),
    },
)


def machine(**changes: Any) -> dict[str, Any]:
    """The four facts of a small machine, with other fields set or (None) taken out."""
    told: dict[str, Any] = {
        "tag": "K-4410",
        "service_class": "process",
        "stage_count": 3,
        "bull_gear": {"speed": "1490 rpm"},
        "pinions": [{"speed": "18200 rpm"}, {"speed": "22000 rpm"}],
        "hazardous_area": {"zone": 2, "gas_group": "IIB", "temperature_class": "T3"},
    }
    told.update(changes)
    return told


def pinion(**changes: Any) -> dict[str, Any]:
    """The machine with changes to its first pinion."""
    told = copy.deepcopy(machine())
    told["pinions"][0].update(changes)
    return told


def bull_gear(**changes: Any) -> dict[str, Any]:
    """The machine with changes to its bull gear."""
    told = copy.deepcopy(machine())
    told["bull_gear"].update(changes)
    return told


def read(document: Any) -> Any:
    return read_machine(document, CONTEXT)


def lines(document: Any) -> list[str]:
    """The problems of a document, as printed."""
    with pytest.raises(InputErrors) as caught:
        read(document)
    assert caught.value.problems
    printed = [problem.line() for problem in caught.value.problems]
    assert all("\n" not in line for line in printed)
    return printed


def as_bytes(document: Any) -> bytes:
    return json.dumps(document).encode()
