"""The verification report, and that no document prints a level from placeholder failure data."""

import re

import pytest
from msgspec.structs import replace

from specapp.documents.registry import DOCUMENTS
from specapp.rulebook.proposing import propose_document
from tests.documents.reading import text_of
from tests.documents.sample import HOSTILE, NAMES, description, proposal, rendered
from tests.rulebook.failure_samples import TOLD_SAFETY, told_devices

REPORT = DOCUMENTS["verification_report"]
A_LEVEL = re.compile(r"\bSIL\s*[1-4]\b")


def machine(**changes):
    """Return the eight-stage machine without a target, with changes."""
    document = description("eight_stage")
    document["safety"] = {"radial_trip_voting": "1oo2", "proof_test_interval": "2 year"}
    return propose_document({**document, **changes})


def told(**safety):
    return machine(devices=told_devices(), safety={**TOLD_SAFETY, **safety})


def words_of(key, made):
    data = rendered(key, made) if isinstance(made, str) else DOCUMENTS[key].render(made)
    return text_of(data) if data.startswith(b"%PDF") else data.decode("utf-8", errors="ignore")


@pytest.fixture(scope="module")
def placeholders():
    """A machine with no failure data told, and one with a device of them missing."""
    return machine(), machine(devices=told_devices(driver_breaker=None))


@pytest.mark.parametrize("key", DOCUMENTS)
def test_no_document_prints_a_level_from_placeholder_data(key, placeholders):
    for made in placeholders:
        assert not A_LEVEL.search(words_of(key, made))


def test_told_data_print_the_level_its_limits_and_the_verdict():
    words = words_of("verification_report", told())
    assert "SIL 2: PFDavg" in words
    assert "● met" in words
    assert "claim nothing" not in words
    assert "route 1H" in words


@pytest.mark.parametrize("name", NAMES)
def test_every_function_stands_in_the_report_and_claims_nothing(name):
    words = words_of("verification_report", name)
    for function in proposal(name).safety_functions:
        assert function["key"] in words
    assert "claim nothing" in words
    assert "Not claimed: placeholder failure data" in words


def test_the_formulas_stand_with_their_numbers():
    words = words_of("verification_report", told(xy_redundancy_justification="Invented: rotor model."))
    for text in ("tCE = ", "tGE = ", "X = ", "CCF = ", "1oo2: PFD = 2·X²·tCE·tGE + CCF", "2oo2: PFD = 2·"):
        assert text in words
    assert "as recorded: Invented: rotor model." in words


def test_votes_truth_table_interval_and_limits_stand_there():
    words = words_of("verification_report", told())
    for text in (
        "Votes compared",
        "trip with alarm",
        "2oo3 needs a third probe",
        "Legs faulted or bypassed",
        "cannot trip",
        "The longest interval below",
        "the formulas hold",
        "IEC 61508-6:2010",
        "PFH",
        "1oo2D is not calculated",
        "Walked from tip to final element",
    ):
        assert text in words


def test_without_a_target_no_interval_is_solved_for():
    words = words_of("verification_report", machine())
    assert "No target is told" in words
    assert "The longest interval below" not in words


def test_hostile_words_are_printed_as_they_are():
    devices = told_devices(relay={"failure_data_source": HOSTILE})
    made = machine(devices=devices, safety={**TOLD_SAFETY, "xy_redundancy_justification": HOSTILE})
    data = REPORT.render(made)
    assert "<b>bold</b>" in text_of(data)


def test_a_machine_without_trips_has_nothing_to_verify():
    bare = replace(machine(), safety_functions=())
    assert "nothing to verify" in text_of(REPORT.render(bare))
