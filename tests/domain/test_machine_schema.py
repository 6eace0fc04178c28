"""The JSON Schema is valid, agrees with reading, and tells units, ranges and examples."""

import json

import pytest
from jsonschema import Draft202012Validator

from specapp.domain.reading import machine_json, machine_schema
from tests.domain.samples import FIXTURES, machine, pinion, read

SCHEMA = machine_schema()
VALIDATOR = Draft202012Validator(SCHEMA)


def test_the_schema_is_a_schema():
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["required"] == ["tag", "service_class", "stage_count", "pinions", "hazardous_area"]
    objects = [SCHEMA, *SCHEMA["$defs"].values()]
    assert all(part["additionalProperties"] is False for part in objects)


@pytest.mark.parametrize("path", FIXTURES, ids=lambda path: path.stem)
def test_sample_machines_satisfy_it_as_typed_and_in_normal_form(path):
    told = json.loads(path.read_bytes())
    VALIDATOR.validate(told)
    VALIDATOR.validate(machine_json(read(told)))


@pytest.mark.parametrize(
    "document",
    [
        machine(tag=None),
        machine(colour="red"),
        machine(stage_count=11),
        machine(stage_count="3"),
        machine(hazardous_area="safe"),
        machine(hazardous_area={"unclassified": True}),
        machine(pinions=[]),
        machine(bull_gear=None, driver=None) | {"bull_gear": 3},
        pinion(journal_diameter=9.99),
        pinion(journal_diameter=True),
        pinion(journal_diameter=""),
        machine(criteria={"radial.trip_multiple": {"value": 1.8}}),
        machine(format="machine/2"),
    ],
    ids=range(13),
)
def test_what_reading_refuses_by_type_the_schema_refuses(document):
    assert not VALIDATOR.is_valid(document)


def test_null_is_not_told_in_the_schema_too():
    VALIDATOR.validate(machine(driver=None, title=None, gases=None, sources=None, criteria=None))


def test_a_quantity_tells_its_kind_unit_range_and_an_example():
    journal = SCHEMA["$defs"]["Pinion"]["properties"]["journal_diameter"]
    assert journal["anyOf"][0] == {"type": "number", "minimum": 10, "maximum": 500}
    assert journal["description"] == (
        'A length, 10 to 500 mm; a bare number is in mm; for example "60 mm". '
        "Units: mm, um, cm, m, in, mil or ft."
    )
