"""The form of a description holds every field of the type and loses nothing either way."""

import pytest

from specapp.domain.problems import InputErrors
from specapp.projects.describing.fields import DESCRIPTION, fact_words
from specapp.projects.describing.form import DescriptionForm, fact_entry_id
from specapp.projects.describing.typed import (
    document_of,
    typed_of,
    typed_of_post,
    with_row,
    with_row_moved_up,
    without_row,
)
from specapp.rulebook.proposing import propose_document
from tests.factories import SAMPLES, sample_description

FOUR_FACTS = {
    "tag": "K-1",
    "service_class": "process",
    "stage_count": "2",
    "bull_gear.speed": "1,490 rpm",
    "pinions[0].speed": "18,200 rpm",
    "hazardous_area.classification": "zone 2",
    "hazardous_area.gas_group": "IIB",
    "hazardous_area.temperature_class": "T3",
}
SAMPLE_NAMES = sorted(path.stem for path in SAMPLES.glob("*.json"))


def problems_of(typed):
    reading = document_of(typed)
    with pytest.raises(InputErrors) as caught:
        propose_document(reading.document)
    return DescriptionForm(typed, reading=reading, problems=[*reading.problems, *caught.value.problems])


def every_entry(form):
    yield from [*form.facts, *form.area]
    for group in form.groups:
        yield from group.entries
    for block in [form.pinions, *form.tables]:
        for row in block.rows:
            yield from row.entries
            for group in row.groups:
                yield from group.entries


def test_every_field_of_the_type_stands_once_on_the_form():
    typed = {}
    for rows in DESCRIPTION.rows.values():
        typed = with_row(typed, rows)
    shown = [entry.name for entry in every_entry(DescriptionForm(typed))]
    expected = list(DESCRIPTION.fields)
    for rows in DESCRIPTION.rows.values():
        expected += [f"{rows.name}[0].{leaf}" for leaf in rows.fields]
    assert sorted(shown) == sorted(expected)
    ids = [entry.id for entry in every_entry(DescriptionForm(typed))]
    assert len(set(ids)) == len(ids)


@pytest.mark.parametrize("name", SAMPLE_NAMES)
def test_a_description_through_the_form_gives_the_same_machine(name):
    described = sample_description(name)
    reading = document_of(typed_of(described))
    assert reading.problems == ()
    assert propose_document(reading.document).machine == propose_document(described).machine


@pytest.mark.parametrize("name", SAMPLE_NAMES)
def test_shown_again_after_a_post_the_form_says_the_same(name):
    typed = typed_of(sample_description(name))
    assert typed_of_post(typed) == typed


def test_four_facts_are_enough():
    proposal = propose_document(document_of(FOUR_FACTS).document)
    assert proposal.machine["tag"] == "K-1"
    assert len(proposal.points) > 0


@pytest.mark.parametrize(
    ("field", "typed", "found"),
    [
        ("tag", "", "nothing"),
        ("pinions[0].teeth", "1e400", "1e400"),
        ("stage_count", "two", '"two"'),
        ("stage_count", "11", "11"),
        ("bull_gear.speed", "24 mm", '"24 mm"'),
        ("pinions[0].speed", "-5 rpm", '"-5 rpm"'),
        ("pinions[0].journal_diameter", "0,35 mm", '"0,35 mm"'),
        ("bull_gear.thrust_bearing", "perhaps", '"perhaps"'),
        ("hazardous_area.classification", "zone 7", "7"),
        ("gases", "moonlight", '"moonlight"'),
        ("service_class", "steam", '"steam"'),
        ("stage_count", "1e999", "1e999"),
        ("pinions[0].stages", "1, x", '"x"'),
    ],
)
def test_a_mistake_stands_beside_its_field_with_what_was_typed(field, typed, found):
    form = problems_of({**FOUR_FACTS, field: typed})
    entry = next(item for item in every_entry(form) if item.name == field)
    assert entry.value == typed
    assert any(found in error for error in entry.errors), entry.errors
    assert any(line.target == entry.id for line in form.summary)


def test_every_problem_is_named_at_once():
    form = problems_of({**FOUR_FACTS, "tag": "", "bull_gear.speed": "fast", "pinions[0].speed": "nan"})
    assert len(form.summary) >= 3


def test_problems_of_a_later_pinion_stand_at_its_row_though_an_empty_one_precedes_it():
    typed = {**FOUR_FACTS, "pinions[1].speed": "", "pinions[2].speed": "9 rpm"}
    form = problems_of(typed_of_post(typed))
    assert [bool(entry.errors) for entry in (row.entries[1] for row in form.pinions.rows)] == [
        False,
        False,
        True,
    ]


@pytest.mark.parametrize(
    ("rows", "error"),
    [
        ({"criteria[0].value": "1.8", "criteria[0].reason": "clause 7"}, "the key of this line"),
        ({"criteria[0].key": "radial.trip_multiple", "criteria[0].value": "1.8"}, "reason"),
        (
            {"criteria[0].key": "no.such", "criteria[0].value": "1", "criteria[0].reason": "x"},
            "no such criterion",
        ),
    ],
)
def test_a_line_of_the_owners_values_says_what_it_lacks(rows, error):
    typed = typed_of_post({**FOUR_FACTS, **rows})
    reading = document_of(typed)
    found = list(reading.problems)
    try:
        propose_document(reading.document)
    except InputErrors as errors:
        found += errors.problems
    form = DescriptionForm(typed, reading=reading, problems=found)
    assert form.summary
    assert any(error in f"{line.label} {line.text}" for line in form.summary), form.summary


def test_two_lines_for_one_criterion_are_refused():
    line = {"value": "1.8", "reason": "clause 7"}
    rows = {f"criteria[{i}].{leaf}": text for i in (0, 1) for leaf, text in line.items()}
    keys = {f"criteria[{i}].key": "radial.trip_multiple" for i in (0, 1)}
    reading = document_of({**FOUR_FACTS, **rows, **keys})
    assert [problem.path for problem in reading.problems] == ["criteria[1].key"]


def test_the_comma_within_a_gas_name_does_not_part_it():
    assert document_of({"gases": "1,3-butadiene, hydrogen"}).document["gases"] == [
        "1,3-butadiene",
        "hydrogen",
    ]


def test_rows_are_added_up_to_the_most_and_taken_out_of_the_middle():
    pinions = DESCRIPTION.rows["pinions"]
    typed = {}
    for number in range(7):
        typed = with_row(typed, pinions)
        typed = {**typed, f"pinions[{min(number, 4)}].speed": str(number)}
    assert len([name for name in typed if name.endswith(".speed")]) == pinions.most == 5
    left = without_row(typed, pinions, 1)
    assert [left[f"pinions[{i}].speed"] for i in range(4)] == ["0", "2", "3", "6"]


@pytest.mark.parametrize(
    ("path", "words", "entry"),
    [
        ("pinions[0].axial_float", "P1, axial float", "f-pinions-0-axial-float"),
        ("driver.power", "Driver, power", "f-driver-power"),
        ("bull_gear.speed", "Bull gear speed", "f-bull-gear-speed"),
        ("safety_functions", "safety functions", ""),
    ],
)
def test_facts_are_named_in_words_and_lead_to_their_field(path, words, entry):
    assert fact_words(path, {"pinions": [{"name": "P1"}]}) == words
    assert fact_entry_id(path) == entry


def test_devices_are_chosen_and_their_fields_are_named_with_units():
    typed = {"devices[0].key": "isolator", "devices[0].uo_v": "28 mA", **FOUR_FACTS}
    form = problems_of(typed)
    (line,) = form.summary
    assert line.label == "Isolator, voltage given (Uo)"
    (block,) = [block for block in form.tables if block.spec.name == "devices"]
    assert block.is_open
    (row,) = block.rows
    assert [group.title for group in row.groups if group.is_open] == [
        "Intrinsic safety, as associated apparatus"
    ]
    labels = {entry.spec.label: entry.spec for group in row.groups for entry in group.entries}
    assert "28 V" in labels["Voltage given (Uo)"].help
    assert not [label for label in labels if label.endswith(("per h", " v", " ma"))]
    assert fact_words("devices.isolator.uo_v", {}) == "Isolator, voltage given (Uo)"
    assert fact_entry_id("devices.isolator.uo_v") == "f-devices"


def _sourced():
    document = {
        "pinions": [{"name": "P1"}, {"name": "P2"}, {"name": "P3"}],
        "sources": {
            "pinions[0].speed": {"document": "of P1"},
            "pinions[2].speed": {"document": "of P3"},
            "bull_gear.speed": {"document": "of the gear"},
        },
    }
    return typed_of(document)


def _sources_of(typed):
    return {key: told["document"] for key, told in document_of(typed).document["sources"].items()}


def test_where_facts_come_from_follows_a_pinion_that_moves():
    moved = with_row_moved_up(_sourced(), DESCRIPTION.rows["pinions"], 2)
    assert _sources_of(moved) == {
        "pinions[0].speed": "of P1",
        "pinions[1].speed": "of P3",
        "bull_gear.speed": "of the gear",
    }


def test_a_pinion_taken_out_takes_along_where_its_facts_came_from():
    left = without_row(_sourced(), DESCRIPTION.rows["pinions"], 0)
    assert _sources_of(left) == {"pinions[1].speed": "of P3", "bull_gear.speed": "of the gear"}
