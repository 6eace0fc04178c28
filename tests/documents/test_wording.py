"""How values read in print."""

import pytest

from specapp.documents.marks import state, status_mark, weakest
from specapp.documents.wording import (
    grouped_keys,
    number,
    on_two_lines,
    pair,
    plain,
    prose,
    quantity,
    told,
    two_sided,
    words,
)


@pytest.mark.parametrize(
    ("value", "unit", "display", "printed"),
    [
        (41.0, "um", "us", "41 µm p-p (= 1.61 mil p-p)"),
        (41.0, "um", "si", "41 µm p-p"),
        (41.0, "um", None, "41 µm p-p"),
        (1.6, "mil", "si", "1.6 mil p-p (= 40.6 µm p-p)"),
        (-5.0, "um", None, "−5 µm p-p"),
        (None, "um", None, "–"),
    ],
)
def test_quantity(value, unit, display, printed):
    assert quantity(value, unit, display, detection="pp") == printed


def test_axial_position_converts_to_mil_and_not_to_inches():
    assert quantity(0.5, "mm", "us", axial=True) == "0.5 mm (= 19.7 mil)"


@pytest.mark.parametrize(
    ("high", "low", "printed"),
    [(0.5, -0.5, "±0.5 mm"), (0.5, -0.4, "+0.5 mm\n−0.4 mm"), (0.5, None, "0.5 mm")],
)
def test_two_sided_setting(high, low, printed):
    assert two_sided(high, low, "mm", None) == printed


@pytest.mark.parametrize(
    ("value", "printed"),
    [(True, "yes"), (False, "no"), (1, "1"), (1.5, "1.5"), (-2, "−2"), (None, "–"), ("B", "B")],
)
def test_number(value, printed):
    assert number(value) == printed


@pytest.mark.parametrize(
    ("value", "printed"),
    [
        ({"value": 140.0, "unit": "m"}, "140 m"),
        ([1, 2], "1, 2"),
        ("thrust_collar", "thrust collar"),
        ("AISI 4140", "AISI 4140"),
        ({"zone": 2, "gas_group": "IIB"}, "zone 2, gas group IIB"),
        ("", "–"),
        (None, "–"),
    ],
)
def test_plain(value, printed):
    assert plain(value) == printed


def test_told_value_takes_the_unit_of_its_field():
    assert told("pinions[0].journal_diameter", 60.0, None) == "60 mm"
    assert told("bull_gear.teeth", 281, None) == "281"
    assert told("bull_gear.rotation", "counter_clockwise", None) == "counter clockwise"


@pytest.mark.parametrize(
    ("keys", "printed"),
    [
        (["P1/P1-1/radial/Y", "P1/P1-1/radial/X", "P1/phase"], "P1/P1-1/radial/Y, X; P1/phase"),
        (["M/winding/1", "M/winding/2", "M/winding/3"], "M/winding/1 to 3"),
        (["M/winding/1", "M/winding/3", "M/winding/4"], "M/winding/1, 3, 4"),
        (["alone"], "alone"),
        ([], ""),
    ],
)
def test_keys_are_grouped_by_all_but_their_last_part(keys, printed):
    assert grouped_keys(keys) == printed


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("-10 degC to 40 degC", "−10 °C to 40 °C"),
        ("25 um p-p on K-4410", "25 µm p-p on K-4410"),
        ("4-20 mA, maximum", "4-20 mA, maximum"),
    ],
)
def test_prose_prints_the_symbols_of_units(text, printed):
    assert prose(text) == printed


def test_pairs_and_lines():
    assert pair(-8.5, -11.5, 2) == "−8.50 / −11.50"
    assert pair(12.0, None, 2) == "12.00"
    assert pair(None, None, 2) == ""
    assert on_two_lines("1 mm (= 39.4 mil)") == "1 mm\n(= 39.4 mil)"
    assert words(None) == "–"


def test_marks():
    assert state("hold") == "▬ hold"
    assert state("not_evaluated") == "○ not evaluated"
    assert state("unheard_of") == "unheard of"
    assert status_mark("published") == "ᵖ"
    assert status_mark("") == ""
    assert status_mark("rumour") == " (rumour)"
    assert weakest(["published", "common practice", "from memory"]) == "common practice"
    assert weakest([]) == ""
