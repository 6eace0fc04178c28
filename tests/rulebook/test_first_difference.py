"""Why do these two differ? The first fact on the way, in one sentence."""

from __future__ import annotations

from typing import Any

import pytest

from specapp.domain.overrides import Override
from specapp.rulebook.first_difference import first_difference
from specapp.rulebook.proposing import propose_document
from tests.rulebook.moved import sample


def _pair(**pinion: Any) -> tuple[Any, Any]:
    document = sample("eight_stage")
    before = propose_document(document)
    document["pinions"][0] |= pinion
    return before, propose_document(document)


def test_a_trip_differs_by_the_clearance() -> None:
    found = first_difference(*_pair(diametral_clearance="0.08 mm"), "P1/P1-1/radial", names=("K-1", "K-2"))
    assert found.fact == "pinions[0].diametral_clearance"
    assert (found.was, found.now) == (0.165, 0.08)
    assert found.text.endswith("because the diametral clearance of P1 is 0.165 mm in K-1 and 0.08 mm in K-2.")


def test_a_point_that_is_missing_differs_by_what_took_it_away() -> None:
    pair = _pair(journal_diameter="45 mm", diametral_clearance="0.07 mm")
    found = first_difference(*pair, "P1/P1-1/temperature/B")
    assert (found.said_after, found.fact) == ("not there", "pinions[0].journal_diameter")


def test_a_check_of_a_derived_fact_leads_back_to_the_input() -> None:
    # The check reads the trip, the trip reads the clearance.
    found = first_difference(
        *_pair(diametral_clearance="0.056 mm"), "P1/P1-1/radial", "setpoint.clearance_below_acceptance"
    )
    assert (found.said_before, found.said_after) == ("pass", "fail")
    assert found.fact == "pinions[0].diametral_clearance"


def test_a_criterion_is_named_where_no_fact_differs() -> None:
    document = sample("eight_stage")
    before = propose_document(document)
    document["criteria"] = {"radial.trip_multiple": {"value": 1.8, "reason": "invented"}}
    found = first_difference(before, propose_document(document), "P1/P1-1/radial")
    assert (found.fact, found.was, found.now) == ("criterion radial.trip_multiple", 2.0, 1.8)


@pytest.mark.parametrize("item", ["BG/B1/radial", "P9/P9-1/radial"])
def test_the_same_answer_is_said_to_be_the_same(item: str) -> None:
    found = first_difference(*_pair(diametral_clearance="0.08 mm"), item)
    assert found.fact == ""
    assert found.text.startswith("Both say the same")


def test_of_several_differing_facts_the_one_that_decides_is_named() -> None:
    # The speed is read first, but the trip is the clearance's in both: the speed alone moves nothing of it.
    document = sample("eight_stage")
    document["pinions"][0] |= {"diametral_clearance": "0.08 mm", "babbitt": "1.2 mm"}
    before = propose_document(document)
    document["pinions"][0] |= {"diametral_clearance": "0.075 mm", "babbitt": "1.4 mm"}
    document["pinions"][0]["journal_diameter"] = "61 mm"
    document["title"] = "another"
    found = first_difference(before, propose_document(document), "P1/P1-1/radial")
    assert found.facts == ("pinions[0].diametral_clearance",)
    assert found.is_decisive


def test_facts_that_decide_only_together_are_named_together() -> None:
    # Alarm and trip both differ: the alarm by the baseline on test, the trip by the clearance.
    document = sample("eight_stage")
    document["pinions"][0] |= {"diametral_clearance": "0.165 mm", "baseline_vibration": "3 um"}
    before = propose_document(document)
    document["pinions"][0] |= {
        "diametral_clearance": "0.08 mm",
        "baseline_vibration": "2 um",
        "babbitt": "1.1 mm",
    }
    found = first_difference(before, propose_document(document), "P1/P1-1/radial")
    assert set(found.facts) <= {"pinions[0].diametral_clearance", "pinions[0].baseline_vibration"}
    assert found.is_decisive


def test_what_an_override_set_is_not_put_down_to_a_fact() -> None:
    document = sample("eight_stage")
    before = propose_document(document)
    own = Override("P1/P1-1/radial", "trip", 39.0, "invented", "A. Person", "2026-03-02T09:30")
    document["pinions"][0]["babbitt"] = "1.1 mm"
    found = first_difference(before, propose_document(document, overrides=[own]), "P1/P1-1/radial")
    assert not found.is_decisive
