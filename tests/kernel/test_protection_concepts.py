"""Types of protection by area: IEC 60079-14, tables 1 and 2, and NEC article 501 (from memory)."""

import pytest

from specapp.kernel.errors import DomainError
from specapp.kernel.hazardous_area import marking_problems
from specapp.kernel.protection_concepts import (
    concepts_for_division,
    concepts_for_level,
    concepts_for_zone,
)


def codes(found):
    return {each.code for each in found}


def test_zone_0_admits_only_the_protections_of_level_ga():
    assert codes(concepts_for_zone(0)) == {"ia", "ma", "da", "sa", "op is"}


@pytest.mark.parametrize("code", ["ib", "d", "db", "eb", "pxb", "qb", "ob", "mb", "sb", "op pr"])
def test_zone_1_admits_what_zone_0_does_not(code):
    assert code in codes(concepts_for_zone(1)) - codes(concepts_for_zone(0))


@pytest.mark.parametrize("code", ["ic", "dc", "ec", "nA", "nR", "mc", "pzc", "oc", "sc"])
def test_zone_2_admits_what_zone_1_does_not(code):
    assert code in codes(concepts_for_zone(2)) - codes(concepts_for_zone(1))


@pytest.mark.parametrize("level", ["Ga", "Gb", "Gc"])
def test_table_and_marking_checker_agree(level):
    """A marking of one protection, its best level stated, suits exactly where the table admits it."""
    admitted = codes(concepts_for_level(level))
    for each in concepts_for_level("Gc"):
        text = f"Ex {each.code} IIC T6 {each.level}"
        suits = marking_problems(text, level=level, gas_group="IIC") == []
        assert suits is (each.code in admitted), text


def test_divisions_have_no_levels():
    assert all(each.level is None for division in (1, 2) for each in concepts_for_division(division))
    assert "AEx ia" in codes(concepts_for_division(1))
    assert "nonincendive" in codes(concepts_for_division(2)) - codes(concepts_for_division(1))


@pytest.mark.parametrize(
    ("ask", "bad"), [(concepts_for_level, "Gd"), (concepts_for_zone, 3), (concepts_for_division, 0)]
)
def test_unknown_areas_are_refused(ask, bad):
    with pytest.raises(DomainError):
        ask(bad)
