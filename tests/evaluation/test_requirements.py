"""Requirements carry the machines' own numbers, stay the same question under one id, and can be checked."""

import pytest

from specapp.evaluation.requirements.criterion import Criterion, criterion_problems, criterion_text
from specapp.evaluation.requirements.facts import Asked
from specapp.evaluation.requirements.generating import requirement_giving, requirements_of, table
from specapp.evaluation.requirements.requirement import GROUPS
from tests.documents.sample import NAMES, proposal
from tests.evaluation.asked import asked


def _by_id(requirements):
    return {each.id: each for each in requirements.requirements}


def test_the_table_names_each_question_once_in_a_known_group():
    ids = [row["id"] for row in table()]
    assert len(set(ids)) == len(ids)
    assert {key[:3] for key in ids} == set(GROUPS)
    assert sum(share for _, share in GROUPS.values()) == 100


@pytest.mark.parametrize("name", NAMES)
def test_every_requirement_of_every_sample_can_be_checked_and_says_its_status(name):
    made = asked(name)
    assert len(made.requirements) > 70
    assert len(_by_id(made)) == len(made.requirements)
    for each in made.requirements:
        assert criterion_problems(each.criterion) == [], each.id
        assert "{" not in each.text
        assert "None" not in each.text
        assert each.status in ("published", "from memory", "common practice")
        assert each.source or each.status == "common practice"


def test_numbers_are_those_of_the_machine():
    made = _by_id(asked())
    assert made["MEA-01/proximity_probe_8mm"].criterion.low == 46  # 23 probes, two trains
    assert made["SIG-05"].criterion.low == 2.0
    # API 670 4th edition 5.4.1, the criterion's own source
    assert made["POW-06"].criterion.high == 2
    assert made["POW-06"].status == "published"
    # 3.25 orders of a mesh of 23 teeth at 18 200 r/min: 3.25 * 6976.7 Hz by the ratio of 281 teeth at 1490
    assert made["SIG-10"].criterion.low == pytest.approx(3.25 * 281 * 1490 / 60, abs=1)
    spans = {each.criterion.high: each for key, each in made.items() if key.startswith("RNG-01")}
    assert spans[250.0].criterion.trip == 90.0
    assert "highest trip there is 90 µm p-p" in spans[250.0].text


def test_only_what_is_asked_of_the_bidder_is_asked():
    racks_only = _by_id(asked(owners=("system_supplier",)))
    assert "SIG-05" not in racks_only
    assert "MEA-01/proximity_probe_8mm" not in racks_only
    assert "MEA-01/monitor_rack" in racks_only


def test_a_transmitter_machine_is_asked_to_fail_low_and_has_no_rack_questions():
    made = _by_id(asked("minimal_packaged"))
    assert made["POW-11"].criterion.high == 3.6
    assert "POW-01" not in made
    assert "ARE-06" in made
    assert "ARE-01" not in made


def test_machines_add_up_and_every_area_is_asked():
    one, other = asked("contract_example"), asked("turbine_driven_hydrogen")
    both = _by_id(asked("contract_example", "turbine_driven_hydrogen"))
    quantity = {item.key: item.quantity for item in one.bill}
    more = {item.key: item.quantity for item in other.bill}
    asked_of = both["MEA-01/proximity_probe_8mm"].criterion.low
    assert asked_of == quantity["proximity_probe_8mm"] + more["proximity_probe_8mm"]
    assert [area.level for area in both["ARE-01"].criterion.areas] == ["Gc", "Division 1"]


def test_delivery_is_asked_only_where_a_time_is_needed():
    assert "SUP-10" not in _by_id(asked())
    assert _by_id(asked(needed_weeks=26.0))["SUP-10"].criterion.high == 26


def test_the_table_declares_which_requirement_gives_the_delivery_time():
    given = _by_id(asked(needed_weeks=26.0))[requirement_giving("delivery_weeks")]
    assert (given.title, given.criterion.unit, given.criterion.high) == ("Delivery", "week", 26)
    figures = [row["figure"] for row in table() if "figure" in row]
    assert len(set(figures)) == len(figures)
    with pytest.raises(KeyError):
        requirement_giving("nothing")


def test_an_enquiry_about_nothing_is_refused():
    with pytest.raises(ValueError, match="at least one machine"):
        requirements_of(Asked([]))


def test_a_fact_the_machines_lack_leaves_an_open_point():
    made = requirements_of(Asked([proposal("published_air_compressor")]))
    assert any(text.startswith("RNG-10") for text in made.open_points)


@pytest.mark.parametrize(
    ("criterion", "text"),
    [
        (Criterion("at_least", "length", "mm", low=2.0), "at least 2 mm"),
        (Criterion("at_most", "percent", high=5.0), "at most 5 %"),
        (Criterion("covers", "temperature", "degC", low=-35, high=65), "covers −35 to 65 °C"),
        (Criterion("at_most", "time", "week", high=26), "at most 26 weeks"),
        (Criterion("one_of", choices=("NTP", "PTP")), "one of: NTP, PTP"),
    ],
)
def test_a_criterion_reads_as_words(criterion, text):
    assert criterion_text(criterion) == text


@pytest.mark.parametrize(
    "criterion",
    [
        Criterion("at_least", "length", "mm"),
        Criterion("at_most", "length", "degC", high=1.0),
        Criterion("covers", "length", "mm", low=2.0, high=1.0),
        Criterion("count", low=1.5),
        Criterion("one_of"),
        Criterion("marking"),
        Criterion("within", "smell", "mm", low=1.0, high=2.0),
    ],
)
def test_a_criterion_that_cannot_be_checked_says_why(criterion):
    assert criterion_problems(criterion)
