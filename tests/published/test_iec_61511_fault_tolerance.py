"""Hardware fault tolerance in the process sector.

IEC 61511-1:2016, table 6; published, values seen in secondary copies. That it follows route 2H of IEC
61508-2: M. Generowicz, Achieving Compliance in Hardware Fault Tolerance.
"""

import pytest

from specapp.kernel.functional_safety import hardware_fault_tolerance
from specapp.kernel.integrity_levels import minimum_hardware_fault_tolerance


@pytest.mark.parametrize(
    ("level", "demand_mode", "tolerance"),
    [
        (1, "low", 0),
        (1, "continuous", 0),
        (2, "low", 0),
        (2, "high", 1),
        (2, "continuous", 1),
        (3, "low", 1),
        (4, "low", 2),
    ],
)
def test_table_6(level, demand_mode, tolerance):
    assert minimum_hardware_fault_tolerance(level, demand_mode) == tolerance


@pytest.mark.parametrize(
    ("voting", "serves"), [("1oo1", False), ("1oo2", True), ("2oo2", False), ("2oo3", True), ("1oo3", True)]
)
def test_votings_that_serve_level_3(voting, serves):
    assert (hardware_fault_tolerance(voting) >= minimum_hardware_fault_tolerance(3)) is serves
