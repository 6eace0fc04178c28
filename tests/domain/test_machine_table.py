"""Machine lists as tables: heads, cells, and the way back from a problem to its cell."""

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from specapp.domain.machine import MachineDescription
from specapp.domain.machine_columns import columns
from specapp.domain.machine_table import (
    MOST_ROWS,
    Refused,
    column_letter,
    located,
    read_rows,
)
from specapp.domain.problems import InputErrors, Problem
from specapp.domain.reading import ReadingContext, read_machine


def one(heads, cells):
    (row,) = read_rows([heads, cells])
    return row


def problems_of(grid):
    with pytest.raises(InputErrors) as caught:
        read_rows(grid)
    return caught.value.problems


def test_columns_follow_the_models():
    found = columns()
    for path in (
        "tag",
        "service_class",
        "stage_count",
        "bull_gear.speed",
        "pinions[0].speed",
        "pinions[4].baseline_vibration",
        "driver.rolling_bearing.contact_angle",
        "hazardous_area.zone",
        "hazardous_area",
        "installation.notch.depth",
        "scope.shutdown_system",
    ):
        assert path in found
    assert "pinions[5].speed" not in found
    by_key = {"criteria", "devices", "sources"}
    tops = {path.split(".")[0].split("[")[0] for path in found}
    assert tops == set(MachineDescription.model_fields) - by_key


@pytest.mark.parametrize(
    ("index", "letters"), [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (701, "ZZ"), (702, "AAA")]
)
def test_column_letters(index, letters):
    assert column_letter(index) == letters


@pytest.mark.parametrize(
    ("head", "cell", "document"),
    [
        ("tag", "K-1", {"tag": "K-1"}),
        ("tag", 4410, {"tag": "4410"}),
        ("tag", 4410.0, {"tag": "4410"}),
        (" TAG ", " K-1 ", {"tag": "K-1"}),
        ("Service class", "process", {"service_class": "process"}),
        ("stage_count", "3", {"stage_count": 3}),
        ("stage_count", "3.0", {"stage_count": 3}),
        ("stage_count", 3.0, {"stage_count": 3.0}),
        ("stage_count", "three", {"stage_count": "three"}),
        ("stage_count", "3.5", {"stage_count": "3.5"}),
        ("bull_gear.speed", 1490, {"bull_gear": {"speed": 1490}}),
        ("bull_gear.speed", "1490 rpm", {"bull_gear": {"speed": "1490 rpm"}}),
        ("bull_gear.thrust_bearing", "Yes", {"bull_gear": {"thrust_bearing": True}}),
        ("bull_gear.thrust_bearing", False, {"bull_gear": {"thrust_bearing": False}}),
        ("bull_gear.thrust_bearing", "perhaps", {"bull_gear": {"thrust_bearing": "perhaps"}}),
        ("pinions[0].stages", "1, 2", {"pinions": [{"stages": [1, 2]}]}),
        ("pinions[0].stages", 1, {"pinions": [{"stages": [1]}]}),
        ("pinions[0].stages", "1;x", {"pinions": [{"stages": [1, "x"]}]}),
        ("pinions[1].speed", 20000, {"pinions": [{}, {"speed": 20000}]}),
        ("trains", "A, B", {"trains": ["A", "B"]}),
        ("gases", "1,1-difluoroethane; carbon dioxide", {"gases": ["1,1-difluoroethane", "carbon dioxide"]}),
        ("hazardous_area", "unclassified", {"hazardous_area": "unclassified"}),
        ("hazardous_area.zone", "2", {"hazardous_area": {"zone": 2}}),
        ("installation.notch.width", "12 mm", {"installation": {"notch": {"width": "12 mm"}}}),
        ("bull_gear.journal_diameter (in)", 6.3, {"bull_gear": {"journal_diameter": "6.3 in"}}),
        ("bull_gear.journal_diameter (in)", "160 mm", {"bull_gear": {"journal_diameter": "160 mm"}}),
        ("driver.power (MW)", "4.1", {"driver": {"power": "4.1 MW"}}),
        ("driver.power (MW)", 4, {"driver": {"power": "4 MW"}}),
    ],
)
def test_a_cell_becomes_the_value_of_its_field(head, cell, document):
    assert one([head], [cell]).document == document


@pytest.mark.parametrize("cell", [None, "", "  "])
def test_an_empty_cell_is_not_told(cell):
    assert one(["tag", "title", "driver.power"], ["K-1", cell, cell]).document == {"tag": "K-1"}


def test_empty_rows_and_remarks_are_passed_over_and_rows_keep_their_numbers():
    rows = read_rows([[], ["# our list"], ["tag"], [None], ["K-1"], ["# K-9 was sold"], ["K-2"]])
    assert [(row.number, row.document["tag"]) for row in rows] == [(5, "K-1"), (7, "K-2")]


@pytest.mark.parametrize(
    "order", [("hazardous_area", "hazardous_area.zone"), ("hazardous_area.zone", "hazardous_area")]
)
def test_an_area_told_as_a_word_and_by_its_parts_is_refused_by_the_reading(order):
    cells = ["unclassified" if head == "hazardous_area" else 1 for head in order]
    row = one([*order], cells)
    with pytest.raises(InputErrors) as caught:
        read_machine(row.document, ReadingContext())
    assert "hazardous_area" in [problem.path for problem in caught.value.problems]


def test_a_row_reads_as_the_description_it_stands_for():
    heads = ["tag", "service_class", "stage_count", "bull_gear.speed", "pinions[0].speed", "hazardous_area"]
    row = one(heads, ["K-1", "process", 2, "1,485", "18,200 rpm", "unclassified"])
    machine = read_machine(row.document, ReadingContext())
    assert (machine.bull_gear.speed, machine.pinions[0].speed) == (1485, 18200)
    assert machine.hazardous_area.unclassified


def test_unknown_doubled_and_wrongly_measured_heads_are_all_told_with_their_cells():
    problems = problems_of(
        [["tag", "bull_gear.sped", "tag", "stage_count (mm)", "driver.power (furlong)", 7], ["K-1"]]
    )
    assert [problem.path for problem in problems] == [
        "row 1, column B",
        "row 1, column C",
        "row 1, column D",
        "row 1, column E",
        "row 1, column F",
    ]
    assert "bull_gear.speed" in problems[0].allowed
    assert problems[1].allowed == "once, as in column A"
    assert problems[2].allowed == "stage_count without a unit"
    assert "kW" in problems[3].allowed


@pytest.mark.parametrize("grid", [[], [[], [None, ""]], [["tag"]], [["tag"], ["# nothing"]]])
def test_a_table_without_machines_is_refused(grid):
    (problem,) = problems_of(grid)
    assert problem.path == "document"


def test_a_cell_without_a_head_is_refused_and_nothing_is_lost():
    rows = read_rows([["tag", None], ["K-1", "lost?"], ["K-2"], ["K-3", None, None, 5]])
    assert [[problem.path for problem in row.problems] for row in rows] == [["column_B"], [], ["column_D"]]
    assert located(rows[0].problems[0], rows[0]) == "row 2, column B"


def test_a_refused_cell_and_a_long_cell_are_problems_of_their_fields():
    row = one(
        ["tag", "driver.power", "title"], ["K-1", Refused("a formula", "a number or a text"), "x" * 2001]
    )
    assert [(problem.path, problem.found) for problem in row.problems] == [
        ("driver.power", "a formula"),
        ("title", "2001 characters"),
    ]
    assert row.document == {"tag": "K-1"}


@pytest.mark.parametrize(
    ("path", "place"),
    [
        ("tag", "row 2, column A"),
        ("pinions[0].stages", "row 2, column B"),
        ("pinions[0].stages[1]", "row 2, column B"),
        ("pinions[0].speed", "row 2"),
        ("hazardous_area", "row 2"),
        ("document", "row 2"),
        ('criteria["radial.trip_multiple"].reason', "row 2"),
    ],
)
def test_a_problem_is_led_back_to_its_cell(path, place):
    row = one(["tag", "pinions[0].stages"], ["K-1", "1, 2"])
    assert located(Problem(path, "", ""), row) == place


def test_the_most_machines_are_taken_and_one_more_is_not():
    assert len(read_rows([["tag"], *([[f"K-{n}"] for n in range(MOST_ROWS)])])) == MOST_ROWS
    (problem,) = problems_of([["tag"], *([[f"K-{n}"] for n in range(MOST_ROWS + 1)])])
    assert problem.path == f"row {MOST_ROWS + 2}"


CELLS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**18), 10**18),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(max_size=20),
    st.sampled_from(["1490 rpm", "1, 2", "unclassified", "process", "yes", Refused("a formula", "a number")]),
)
HEADS = st.lists(
    st.sampled_from([*columns(), None, "driver.power (MW)"]), min_size=1, max_size=12, unique=True
)


@settings(deadline=None, max_examples=200)
@given(heads=HEADS, rows=st.lists(st.lists(CELLS, max_size=14), max_size=4))
def test_whatever_stands_in_a_table_ends_in_rows_or_in_problems(heads, rows):
    with suppress(InputErrors):
        for row in read_rows([heads, *rows]):
            with suppress(InputErrors):
                read_machine(row.document, ReadingContext())
            assert located(Problem("pinions[0].speed", "", ""), row).startswith(f"row {row.number}")
