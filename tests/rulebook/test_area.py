"""The marking asked of a point is one that the area accepts.

Source of what an area accepts: IEC 60079-14 tables 1 and 2 and the marking grammar of IEC 60079-0 (from
memory), by the independent check in `kernel.hazardous_area`.
"""

from __future__ import annotations

from typing import Any

import pytest

from specapp.domain.proposal import Proposal
from specapp.kernel.hazardous_area import marking_problems, parse_marking
from specapp.rulebook.proposing import propose_document
from tests.rulebook.test_cases import MINIMAL

OPTIONS = (None, "intrinsic_safety", "non_sparking", "flameproof", "none")


def _proposal(area: Any, protection: str | None = None, **facts: Any) -> Proposal:
    installation = {"protection": protection} if protection else {}
    return propose_document(MINIMAL | {"hazardous_area": area, "installation": installation} | facts)


@pytest.mark.parametrize("protection", OPTIONS)
@pytest.mark.parametrize("zone", [0, 1, 2])
@pytest.mark.parametrize("group", ["IIA", "IIB", "IIB+H2", "IIC"])
def test_every_zone_marking_suits_its_area(zone: int, protection: str | None, group: str) -> None:
    area = {"zone": zone, "gas_group": group, "temperature_class": "T4"}
    installation = _proposal(area, protection).points[0].installation
    marking = installation.required_marking or ""
    assert (
        marking_problems(
            marking,
            level=installation.equipment_protection_level or "",
            gas_group=group,
            temperature_class="T4",
        )
        == []
    )
    assert parse_marking(marking).protections == (installation.protection,)


@pytest.mark.parametrize(
    ("zone", "protection", "concept", "refused"),
    [
        (0, None, "ia", False),
        (0, "non_sparking", "ia", True),
        (0, "flameproof", "ia", True),
        (1, None, "ia", False),
        (1, "non_sparking", "ia", True),
        (1, "flameproof", "db", False),
        (2, None, "ec", False),
        (2, "intrinsic_safety", "ic", False),
        (2, "flameproof", "db", False),
        (2, "none", "ec", True),
    ],
)
def test_concept_of_a_zone(zone: int, protection: str | None, concept: str, refused: bool) -> None:
    area = {"zone": zone, "gas_group": "IIB", "temperature_class": "T3"}
    proposal = _proposal(area, protection)
    assert {point.installation.protection for point in proposal.points} == {concept}
    asked = [check.result for check in proposal.checks if check.check == "area.protection"]
    assert asked == ([] if protection is None else ["fail" if refused else "pass"])
    isolators = [line for line in proposal.bill_of_materials if line.item == "galvanic_isolator"]
    assert bool(isolators) == (concept in ("ia", "ic"))


def test_isolator_is_associated_apparatus() -> None:
    proposal = _proposal({"zone": 0, "gas_group": "IIC", "temperature_class": "T1"})
    line = next(each for each in proposal.bill_of_materials if each.item == "galvanic_isolator")
    marking = line.description.removeprefix("Galvanic isolator, ")
    assert marking == "[Ex ia Ga] IIC"
    parsed = parse_marking(marking)
    assert parsed.associated
    assert parsed.protections == ()


def test_gas_of_the_area_decides_group_and_class() -> None:
    # Ethylene IIB (from memory), n-pentane ignites at 243 degC (IEC 60079-20-1): T3.
    proposal = _proposal({"zone": 2, "area_gases": ["ethylene", "n-pentane"]})
    assert proposal.points[0].installation.required_marking == "Ex ec IIB T3 Gc"


def test_ambient_is_written_beside_the_marking() -> None:
    area = {"zone": 2, "gas_group": "IIB", "temperature_class": "T3"}
    proposal = _proposal(area, ambient={"minimum": -30, "maximum": 45})
    assert (
        "Certificates in the area must cover the ambient from -30 degC to 45 degC."
        in proposal.architecture.notes
    )
