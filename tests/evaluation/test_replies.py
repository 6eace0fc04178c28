"""Replies of every kind held against criteria, each side of every limit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.evaluation.replies.judging import judge
from specapp.evaluation.replies.quantities import Unreadable, read_offered
from specapp.evaluation.replies.vague import narrowing_words, vague_words
from specapp.evaluation.requirements.criterion import AreaNeed, Criterion
from tests.evaluation.asked import reply, requirement

MM = Criterion("at_least", "length", "mm", low=2.0)
AREA = AreaNeed("K-1", "Gc", "IIB", "T3", -20.0, 40.0)


@pytest.mark.parametrize(
    ("text", "criterion", "low", "high"),
    [
        ("2 mm", MM, 2, 2),
        ("0.08 in", MM, 2.032, 2.032),
        ("≤ ±5 % FS", Criterion("at_most", "percent", high=5), -5, 5),
        ("-35/+65 °C", Criterion("covers", "temperature", "degC", -35, 65), -35, 65),
        ("−31 °F to 149 °F", Criterion("covers", "temperature", "degC", -35, 65), -35, 65),
        ("0-55 C", Criterion("covers", "temperature", "degC", 0, 55), 0, 55),
        ("90…132 VAC", Criterion("covers", "voltage", "V", 90, 132), 90, 132),
        ("5 mil pp", Criterion("covers", "vibration", "um", 0, 125), 127, 127),
        ("46 nos.", Criterion("count", low=46), 46, 46),
        ("22 679 Hz", Criterion("at_least", "frequency", "Hz", low=20000), 22679, 22679),
        ("typ. 5 ms", Criterion("at_most", "time", "ms", high=5), 5, 5),
    ],
)
def test_quantities_as_bidders_write_them(text, criterion, low, high):
    read = read_offered(text, criterion)
    assert (read.low, read.high) == (pytest.approx(low), pytest.approx(high))


@pytest.mark.parametrize(
    "text", ["0,5 mm", "2 bar", "two", "2 mm, 3 mm", "9 to 2 mm", "", "2 " * 200, "1e999"]
)
def test_what_is_no_one_quantity_is_not_guessed(text):
    with pytest.raises(Unreadable):
        read_offered(text, MM)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text):
    try:
        read_offered(text, MM)
    except Unreadable:
        return


@pytest.mark.parametrize(
    ("asked", "offered", "standing"),
    [
        (requirement("at_least", quantity="length", unit="mm", low=2.0), "2 mm", "comply"),
        (requirement("at_least", quantity="length", unit="mm", low=2.0), "1.99 mm", "deviate"),
        (requirement("at_least", quantity="length", unit="mm", low=2.0), "up to 2.5 mm", "no reply"),
        (requirement("at_least", quantity="length", unit="mm", low=2.0), "typically 2.2 mm", "with comment"),
        (requirement("at_most", quantity="percent", high=5), "± 5 %", "comply"),
        (requirement("at_most", quantity="percent", high=5), "± 5.1 %", "deviate"),
        (requirement("at_most", quantity="percent", high=5), "> 1 %", "no reply"),
        (requirement("at_most", quantity="percent", high=5), "0,5 %", "no reply"),
        (
            requirement("within", quantity="sensitivity", unit="V/mm", low=7.5, high=8.3),
            "200 mV/mil",
            "comply",
        ),
        (
            requirement("within", quantity="sensitivity", unit="V/mm", low=7.5, high=8.3),
            "100 mV/mil",
            "deviate",
        ),
        (requirement("count", unit="pieces", low=46), "46", "comply"),
        (requirement("count", unit="pieces", low=46), "47", "with comment"),
        (requirement("count", unit="pieces", low=46), "45", "partial"),
        (requirement("count", unit="pieces", low=46), "0", "deviate"),
        (requirement("covers", quantity="temperature", unit="degC", low=-35, high=65), "-40 to 70", "comply"),
        (
            requirement("covers", quantity="temperature", unit="degC", low=-35, high=65),
            "-20 to 70",
            "partial",
        ),
        (requirement("covers", quantity="temperature", unit="degC", low=-35, high=65), "0 to 40", "deviate"),
        (requirement("covers", quantity="temperature", unit="degC", low=-35, high=65), "70 °C", "no reply"),
        (requirement("one_of", choices=("NTP", "PTP")), "Clock by NTP", "comply"),
        (requirement("one_of", choices=("NTP", "PTP")), "GPS", "deviate"),
        (requirement("one_of", choices=("NTP", "PTP")), "no NTP", "no reply"),
        (requirement("one_of", choices=("alarm", "trip radial"), needs_all=True), "alarm", "partial"),
        (
            requirement("one_of", choices=("alarm", "trip radial"), needs_all=True),
            "Trip radial; Alarm",
            "comply",
        ),
        (requirement("one_of", choices=("alarm", "trip radial"), needs_all=True), "all", "comply"),
        (requirement("yes"), "yes", "comply"),
        (requirement("yes"), "not available", "deviate"),
        (requirement("yes"), "perhaps", "no reply"),
        (requirement("document"), "", "comply"),
        (requirement("stated"), "every relay drops", "comply"),
        (requirement("stated"), "yes", "no reply"),
        (requirement("marking", areas=(AREA,)), "Ex ic IIC T4 Gc", "comply"),
        (requirement("marking", areas=(AREA,)), "Ex ic IIC T4 Gc X", "with comment"),
        (requirement("marking", areas=(AREA,)), "Ex ic IIA T4 Gc", "deviate"),
        (requirement("marking", areas=(AREA,)), "Ex ic IIC T4 Gc; Ex ec IIB T2 Gc", "deviate"),
        (requirement("marking", areas=(AREA,)), "approved", "deviate"),
    ],
)
def test_each_side_of_each_limit(asked, offered, standing):
    assert judge(asked, reply(offered)).standing == standing


@pytest.mark.parametrize(
    ("offered", "standing", "word"),
    [
        ("250", "comply", "250"),
        ("200", "partial", "twice"),
        ("150", "deviate", "less than twice"),
        ("80", "deviate", "below"),
    ],
)
def test_a_full_scale_is_weighed_by_the_highest_trip(offered, standing, word):
    span = requirement("covers", quantity="vibration", unit="um", low=0, high=250, trip=90)
    found = judge(span, reply(offered))
    assert found.standing == standing
    assert word in found.evidence[0]


@pytest.mark.parametrize(
    "text",
    [
        "Noted.",
        "as per standard",
        "As per our standard",
        "as earlier job",
        "as in the previous project",
        "TBA",
        "to be advised",
        "will be confirmed during detail engineering",
        "see catalogue",
        "-",
        "n/a",
        "2 mm or equal",
    ],
)
def test_vague_replies_are_not_compliant_until_clarified(text):
    found = judge(requirement("at_least", quantity="length", unit="mm", low=2.0), reply(text, "complies"))
    assert (found.standing, found.until_clarified) == ("no reply", True)
    assert text.strip(".") in found.question
    assert "one guaranteed figure in mm" in found.question


@pytest.mark.parametrize(
    "text", ["2 mm", "IP66", "Modbus TCP and OPC UA", "every relay drops to its safe state"]
)
def test_answers_are_not_called_vague(text):
    assert vague_words(text) is None
    assert narrowing_words(text) is None


def test_a_blank_reply_is_no_reply_with_a_question():
    for blank in (None, reply("", evidence="")):
        found = judge(requirement("yes"), blank)
        assert (found.standing, found.until_clarified) == ("no reply", True)
        assert "there is no reply" in found.question


def test_claim_and_value_against_each_other_are_a_contradiction():
    asked = requirement("at_least", quantity="length", unit="mm", low=2.0)
    boast = judge(asked, reply("1 mm", "complies"))
    assert boast.standing == "deviate"
    assert boast.contradictions
    modest = judge(asked, reply("3 mm", "deviates"))
    assert modest.standing == "deviate"
    assert modest.contradictions


def test_words_that_take_something_back_and_missing_evidence_are_a_comment():
    asked = requirement("yes", knock_out=True)
    assert judge(asked, reply("yes")).standing == "comply"
    narrowed = judge(asked, reply("yes", remark="excluding cables"))
    assert narrowed.standing == "with comment"
    assert "excluding" in narrowed.question
    assert judge(asked, reply("yes", evidence="")).standing == "with comment"


def test_questions_say_nothing_of_ratings():
    asked = requirement("at_least", quantity="length", unit="mm", low=2.0, knock_out=True)
    text = judge(asked, reply("noted")).question
    for word in ("weight", "score", "price", "bidder", "knock"):
        assert word not in text.casefold()
