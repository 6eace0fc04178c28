"""Architectural constraints by safe failure fraction.

IEC 61508-2:2010, 7.4.4.2, tables 2 (type A) and 3 (type B); published, seen in secondary copies only.
"""

import pytest

from specapp.kernel.functional_safety import level_by_route_1h

TABLES = {
    "A": {0.0: (1, 2, 3), 0.6: (2, 3, 4), 0.9: (3, 4, 4), 0.99: (3, 4, 4)},
    "B": {0.0: (0, 1, 2), 0.6: (1, 2, 3), 0.9: (2, 3, 4), 0.99: (3, 4, 4)},
}
ENDS = {0.0: 0.5999, 0.6: 0.8999, 0.9: 0.9899, 0.99: 1.0}


@pytest.mark.parametrize("component_type", TABLES)
@pytest.mark.parametrize("begins", ENDS)
def test_each_band_from_its_first_to_its_last_value(component_type, begins):
    for tolerance, level in enumerate(TABLES[component_type][begins]):
        assert level_by_route_1h(component_type, begins, tolerance) == level
        assert level_by_route_1h(component_type, ENDS[begins], tolerance) == level


@pytest.mark.parametrize(
    ("component_type", "fraction", "tolerance", "level"),
    [("B", 0.92, 0, 2), ("B", 0.59, 0, 0), ("A", 0.59, 0, 1), ("B", 0.92, 1, 3)],
)
def test_cases(component_type, fraction, tolerance, level):
    assert level_by_route_1h(component_type, fraction, tolerance) == level


def test_more_than_two_faults_tolerated_claim_no_more():
    assert level_by_route_1h("A", 0.95, 5) == level_by_route_1h("A", 0.95, 2)


def test_fraction_that_misses_its_band_by_rounding_counts():
    assert level_by_route_1h("B", 0.3 + 0.6 - 1e-16, 0) == level_by_route_1h("B", 0.9, 0)
