"""Quantities as engineers type them: what is read, what is refused and in which words."""

from contextlib import suppress
from math import isfinite

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.domain.quantities import Quantity, QuantityError, canonical, convert, parse_quantity

READ = [
    ("1485 rpm", "speed", "rpm", 1485.0),
    ("1,485 rpm", "speed", "rpm", 1485.0),
    ("18,200 r/min", "speed", "rpm", 18200.0),
    ("18,200", "speed", "rpm", 18200.0),
    ("18 200 rpm", "speed", "rpm", 18200.0),
    ("18\u202f200 rpm", "speed", "rpm", 18200.0),
    ("1490 1/min", "speed", "rpm", 1490.0),
    ("1 490 1/min", "speed", "rpm", 1490.0),
    ("1.8e4 rpm", "speed", "rpm", 18000.0),
    ("18,200.5 rpm", "speed", "rpm", 18200.5),
    ("60 mm", "length", "mm", 60.0),
    ("60mm", "length", "mm", 60.0),
    ("2.4 in", "length", "mm", 60.96),
    ('2.4"', "length", "mm", 60.96),
    ("14 mil", "length", "mm", 0.3556),
    (".35 mm", "length", "mm", 0.35),
    ("60", "length", "mm", 60.0),
    ("1,234,567", "length", "mm", 1234567.0),
    ("2.362204724409449 in", "length", "mm", 60.0),
    ("4,100.0 kW", "power", "kW", 4100.0),
    ("4.1 MW", "power", "kW", 4100.0),
    ("9 um pp", "vibration", "um", 9.0),
    ("0.35 mil p-p", "vibration", "um", 8.89),
    ("32 degF", "temperature", "degC", 0.0),
    ("-20 \u00b0C", "temperature", "degC", -20.0),
    ("\u221220 degC", "temperature", "degC", -20.0),
    ("293.15 K", "temperature", "degC", 20.0),
    ("2 year", "time", "h", 17520.0),
    ("18 months", "time", "h", 13140.0),
    ("10 kHz", "frequency", "Hz", 10000.0),
    ("-0 deg", "angle", "deg", 0.0),
    (60, "length", "mm", 60.0),
    (60.5, "length", "mm", 60.5),
]


@pytest.mark.parametrize(("raw", "kind", "unit", "value"), READ)
def test_a_quantity_is_read_into_the_default_unit(raw, kind, unit, value):
    result = parse_quantity(raw, kind, unit)
    assert result == value
    assert str(result) == str(value)


REFUSED = [
    ("0,35 mm", "length", 'the comma can be read in two ways: write "0.35 mm" or "35 mm"'),
    ("1,485 mm", "length", 'the comma can be read in two ways: write "1.485 mm" or "1485 mm"'),
    ("1,485", "length", 'the comma can be read in two ways: write "1.485" or "1485"'),
    ("-1,485 mm", "length", 'the comma can be read in two ways: write "-1.485 mm" or "-1485 mm"'),
    ("1490,5 rpm", "speed", 'the comma can be read in two ways: write "1490.5 rpm" or "14905 rpm"'),
    ("0,485 rpm", "speed", 'the comma can be read in two ways: write "0.485 rpm" or "485 rpm"'),
    ("1.234,5 mm", "length", 'the comma can be read in two ways: write "1234.5 mm" or "12345 mm"'),
    ("60 Hz", "length", "that is a frequency"),
    ("25 Hz", "speed", "that is a frequency"),
    ("1,485 Hz", "speed", "that is a frequency"),
    ("60 furlong", "length", "no such unit here"),
    ("4.1 mW", "power", "no such unit here"),
    ("3 bar(a)", "pressure", "that is an absolute pressure"),
    ("nan mm", "length", "not a finite number"),
    ("NaN", "length", "not a finite number"),
    ("-Infinity", "length", "not a finite number"),
    ("1e999 mm", "length", "not a finite number"),
    (float("nan"), "length", "not a finite number"),
    (float("inf"), "length", "not a finite number"),
    (10**400, "length", "not a finite number"),
    ("", "length", "not one number with a unit"),
    ("sixty", "length", "not one number with a unit"),
    ("mm 60", "length", "not one number with a unit"),
    ("10-20 mm", "length", "not one number with a unit"),
    ("1/2 in", "length", "not one number with a unit"),
    ("1.2.3 mm", "length", "not one number with a unit"),
    ("\uff16\uff10 mm", "length", "not one number with a unit"),
    ("60 mm\x00", "length", "no such unit here"),
    ("60 \ud800", "length", "no such unit here"),
    ("6" * 81, "length", "longer than 80 characters"),
    (True, "length", "a number or a text with a number and a unit is needed"),
    ([60], "length", "a number or a text with a number and a unit is needed"),
]
_DEFAULT = {"length": "mm", "speed": "rpm", "power": "kW", "pressure": "bar"}


@pytest.mark.parametrize(("raw", "kind", "message"), REFUSED, ids=lambda value: ascii(value)[:40])
def test_what_is_no_quantity_is_refused_with_the_reason(raw, kind, message):
    with pytest.raises(QuantityError) as caught:
        parse_quantity(raw, kind, _DEFAULT[kind])
    assert caught.value.message == message


@given(st.text(max_size=100), st.sampled_from([("length", "mm"), ("speed", "rpm"), ("temperature", "degC")]))
def test_any_text_is_read_or_refused(text, field):
    with suppress(QuantityError):
        assert isfinite(parse_quantity(text, *field))


@given(st.from_regex(r"[+-]?[0-9., eE]{1,20} ?(mm|in|mil)", fullmatch=True))
def test_anything_that_looks_like_a_quantity_is_read_or_refused(text):
    with suppress(QuantityError):
        assert isfinite(parse_quantity(text, "length", "mm"))


@given(st.floats(min_value=0.01, max_value=5000.0), st.sampled_from(["in", "mil", "um", "m", "ft", "cm"]))
def test_one_length_in_any_unit_is_one_number(length_mm, unit):
    shown = convert(canonical(length_mm), "mm", unit)
    assert parse_quantity(f"{shown!r} {unit}", "length", "mm") == canonical(length_mm)


def test_the_range_is_inclusive_unless_marked():
    journal = Quantity("length", "mm", 10, 500)
    assert journal.read("10 mm") == 10.0
    assert journal.read("500 mm") == 500.0
    for outside in ("9.999 mm", "500.001 mm"):
        with pytest.raises(QuantityError):
            journal.read(outside)
    angle = Quantity("angle", "deg", 0, 360, exclusive_maximum=True)
    assert angle.read(0) == 0.0
    with pytest.raises(QuantityError):
        angle.read("360 deg")
    width = Quantity("length", "mm", 0, 10, exclusive_minimum=True)
    assert width.read("0.001 mm") == 0.001
    with pytest.raises(QuantityError):
        width.read(0)


@pytest.mark.parametrize(
    ("quantity", "text"),
    [
        (Quantity("length", "mm", 10, 500), "10 to 500 mm"),
        (Quantity("speed", "rpm", 100, 200_000), "100 to 200 000 r/min"),
        (Quantity("angle", "deg", 0, 360, exclusive_maximum=True), "0 to below 360 deg"),
        (Quantity("vibration", "um", 0, 500, exclusive_minimum=True), "above 0 to 500 um"),
        (Quantity("length", "mm", 0, None, exclusive_minimum=True), "above 0 mm"),
        (Quantity("length", "mm", None, 5), "5 mm or less"),
        (Quantity("length", "mm", 5), "5 mm or more"),
        (Quantity("ratio", "1", 1, 3), "1 to 3"),
    ],
)
def test_the_range_in_words(quantity, text):
    assert quantity.range_text == text


def test_a_wrong_unit_is_answered_with_the_right_ones():
    speed = Quantity("speed", "rpm", 100, 200_000)
    with pytest.raises(QuantityError) as caught:
        speed.read("25 Hz")
    assert speed.allowed_text(caught.value) == (
        "a rotational speed in rpm, r/min or rad/s, 100 to 200 000 r/min"
    )
    factor = Quantity("ratio", "1", 1, 3)
    with pytest.raises(QuantityError) as caught:
        factor.read("2 mm")
    assert factor.allowed_text(caught.value) == "a plain number without a unit, 1 to 3"
