"""What would turn a ranking: every line is an evaluation of its own, by hand where the numbers are small."""

import pytest

from specapp.evaluation.evaluating import evaluate
from specapp.evaluation.reading import read_bids
from specapp.evaluation.sensitivity import Dispute, leader, margin, sensitivities


def bids(**settings):
    """Two offers: Ash is 100 below Elm as read, but did not quote the panel, for which Elm asks 300."""
    return read_bids(
        {
            "format": "bids/1",
            "settings": {"currency": "EUR", "rates": {"USD": 0.9}, **settings},
            "items": ["panel", "training"],
            "bidders": [
                {"name": "Ash", "currency": "EUR", "fob": 1000, "items": {"training": 50}, "weeks": 20},
                {"name": "Elm", "currency": "USD", "fob": 1000, "items": {"panel": 300, "training": 50}},
            ],
        }
    )


def moved(found, kind):
    return {(each.what, each.moved): each for each in found if each.kind == kind}


def test_a_load_moved_to_nothing_and_to_twice_as_much():
    # Ash: 1000 + 300 (the highest quote of others) + 50 = 1350; Elm: 900 + 300 + 50 = 1250.
    base = evaluate(bids())
    assert (leader(base), margin(base)) == ("Elm", pytest.approx(100))
    found = moved(sensitivities(bids()), "load")
    nothing = found["panel of Ash, not quoted", "costs nothing"]
    assert (nothing.leads, nothing.turns, nothing.margin) == ("Ash", True, pytest.approx(200))
    assert not found["panel of Ash, not quoted", "costs twice the load"].turns


def test_a_rate_ten_percent_dearer():
    # Elm at 0.99: 990 + 350 = 1340, still below 1350; at 10 percent cheaper further below.
    found = moved(sensitivities(bids()), "rate")
    assert [each.margin for each in found.values()] == [pytest.approx(190), pytest.approx(10)]
    assert not any(each.turns for each in found.values())


def test_who_leads_when_the_leader_is_left_out():
    found = moved(sensitivities(bids()), "taking part")
    # Without Elm nobody quotes the panel: Ash's load goes with it, and its evaluated price is open.
    assert (found["Elm", "left out"].leads, found["Elm", "left out"].turns) == ("", True)
    assert not found["Ash", "left out"].turns
    rest = evaluate(bids().model_copy(update={"bidders": bids().bidders[:1]}))
    assert rest.bidders[0].items["panel"] is None


def test_a_decision_that_differs_turns_what_it_decides():
    scored = read_bids(
        {
            "format": "bids/1",
            "settings": {"currency": "EUR", "groups": {"signal": 100}, "pass_mark": 70},
            "items": [],
            "bidders": [
                {"name": "Ash", "currency": "EUR", "fob": 900, "factors": {"signal": 0.8}},
                {"name": "Elm", "currency": "EUR", "fob": 1000, "factors": {"signal": 0.9}},
            ],
        }
    )
    assert leader(evaluate(scored)) == "Ash"
    found = moved(
        sensitivities(scored, [Dispute("Ash", "SIG-01 decided comply", {"signal": 0.6})]), "decision"
    )
    (line,) = found.values()
    assert (line.leads, line.turns) == ("Elm", True)


def test_nothing_assumed_is_nothing_moved_but_who_takes_part():
    whole = read_bids(
        {
            "format": "bids/1",
            "settings": {"currency": "EUR"},
            "items": [],
            "bidders": [{"name": "Ash", "currency": "EUR", "fob": 1000}],
        }
    )
    assert [each.kind for each in sensitivities(whole)] == ["taking part"]
    assert sensitivities(whole)[0].leads == ""
