"""How quantities are written."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.domain.display import format_quantity, number_text, typed_number, unit_symbols
from specapp.domain.quantities import parse_quantity


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0"),
        (-0.0, "0"),
        (1490.0, "1490"),
        (18200.0, "18\u202f200"),
        (-1234567.0, "-1\u202f234\u202f567"),
        (0.35, "0.35"),
        (101.25, "101.25"),
        (235.58333333333334, "235.6"),
        (18203.913043, "18\u202f204"),
        (0.447761194, "0.4478"),
        (0.00012345678, "0.0001235"),
        (25.4, "25.4"),
    ],
)
def test_numbers_are_short_and_grouped(value, text):
    assert number_text(value) == text


def test_a_number_that_is_none_is_not_written():
    with pytest.raises(ValueError, match="cannot be written"):
        number_text(float("nan"))


@pytest.mark.parametrize(
    ("arguments", "options", "text"),
    [
        ((41, "um"), {}, "41 µm"),
        ((41, "um", "si"), {}, "41 µm"),
        ((41, "um", "us"), {}, "41 µm (= 1.61 mil)"),
        ((41, "um", "us"), {"detection": "pp"}, "41 µm p-p (= 1.61 mil p-p)"),
        ((1.6, "mil", "si"), {}, "1.6 mil (= 40.6 µm)"),
        ((0.46, "mm", "us"), {"us_unit": "mil"}, "0.46 mm (= 18.1 mil)"),
        ((60, "mm", "us"), {}, "60 mm (= 2.36 in)"),
        ((110, "degC", "us"), {}, "110 °C (= 230 °F)"),
        ((240, "degF", "si"), {}, "240 °F (= 116 °C)"),
        ((4.5, "mm/s", "us"), {"detection": "rms"}, "4.5 mm/s r.m.s. (= 0.177 in/s r.m.s.)"),
        ((4100, "kW", "us"), {}, "4100 kW (= 5498 hp)"),
        ((18200, "rpm", "us"), {}, "18\u202f200 r/min"),
        ((90, "deg"), {}, "90°"),
        ((250, "ohm"), {}, "250 Ω"),
        ((2.0, "1"), {}, "2"),
    ],
)
def test_quantities_with_the_readers_units(arguments, options, text):
    assert format_quantity(*arguments, **options) == text


@given(st.floats(min_value=0.001, max_value=99999.0).map(lambda value: float(f"{value:.6g}")))
def test_a_value_that_was_typed_is_written_in_full(value):
    assert parse_quantity(f"{typed_number(value)} mm", "length", "mm") == pytest.approx(value, rel=1e-9)


def test_binary_noise_is_not_shown():
    assert number_text(8208.8) == "8208.8"
    assert number_text(0.1 + 0.2) == "0.3"


def test_units_in_a_sentence_are_printed_as_people_read_them():
    assert unit_symbols("alarm 29.5 um p-p, 110 degC") == "alarm 29.5 µm p-p, 110 °C"
    assert unit_symbols("umbrella, 5 umbrellas, VE-5 um") == "umbrella, 5 umbrellas, VE-5 µm"
