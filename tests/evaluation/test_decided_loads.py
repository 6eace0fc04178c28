"""A person's load in place of the rule's: both are told, the price never falls below what was read."""

from copy import deepcopy

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.cli.evaluation_text import evaluation_text
from specapp.domain.problems import InputErrors
from specapp.evaluation.evaluating import evaluate
from specapp.evaluation.evaluation import evaluation_json, figures_checksum
from specapp.evaluation.reading import read_bids
from specapp.evaluation.sensitivity import sensitivities
from tests.evaluation.samples import bidder, bids, evaluated, result
from tests.evaluation.test_properties import ITEMS, RUNS, documents

GAPPY = {"licence": None, "factory test": 0}
LOAD = {"amount": 4_000, "reason": "as ordered last year", "by": "A. Example, 2026-10-02"}


def offers(**load):
    """Without a decision A is loaded with 9,000, the highest quote of the others."""
    return (
        bidder("A", items=GAPPY, decided_loads={"licence": {**LOAD, **load}}),
        bidder("B", fob=95_500, items={"licence": 9_000, "factory test": 0}),
    )


def test_the_decided_load_counts_and_the_rule_stands_beside_it():
    found = result(evaluated(*offers()), "A")
    assert (found.items["licence"], found.evaluated, found.as_read) == (4_000, 104_000, 100_000)
    reason = found.reasons.items["licence"]
    assert reason.basis == "decided"
    assert reason.how == "not quoted; decided by A. Example, 2026-10-02: as ordered last year"
    assert (reason.by_rule.amount, reason.by_rule.how) == (
        9_000,
        "not quoted: the highest quote of the other offers, by B",
    )


def test_it_loads_nobody_else():
    third = bidder("C", items={"factory test": 0})
    assert result(evaluated(*offers(amount=50_000), third), "C").items["licence"] == 9_000


def test_it_closes_what_the_rules_leave_open():
    left = bidder("A", items=GAPPY)
    assert evaluated(left).open_points
    decided = evaluated({**left, "decided_loads": {"licence": LOAD}})
    assert decided.open_points == ()
    assert result(decided, "A").evaluated == 104_000
    assert result(decided, "A").reasons.items["licence"].by_rule.amount is None


def test_what_the_ranking_would_be_without_the_decision():
    # As decided A 104,000, B 104,500; by the rule A 109,000: B leads by 4,500.
    moved = [each for each in sensitivities(read_bids(bids(*offers()))) if each.kind == "decision"]
    assert [(each.what, each.moved, each.leads, each.turns, each.margin) for each in moved] == [
        ("licence of A, decided at 4 000", "as the rules load it: 9 000", "B", True, 4_500)
    ]


def test_a_decision_where_the_rules_say_nothing_leaves_the_offer_without_a_place():
    document = bids(bidder("A", items=GAPPY, decided_loads={"licence": LOAD}))
    (moved,) = [each for each in sensitivities(read_bids(document)) if each.kind == "decision"]
    assert (moved.moved, moved.leads, moved.turns) == ("as the rules load it: open", "", True)


@pytest.mark.parametrize(
    ("item", "load", "path", "allowed"),
    [
        ("licence", {"amount": -1}, '["licence"].amount', "a number from 0"),
        ("licence", {"reason": " "}, '["licence"].reason', "one line of 1 to 500"),
        ("licence", {"amount": None}, '["licence"].amount', "a number from 0"),
        ("factory test", {}, '["factory test"]', "only for an item that is not quoted"),
        ("nothing", {}, '["nothing"]', "an item of the list items"),
    ],
)
def test_a_wrong_one_is_refused_at_its_place(item, load, path, allowed):
    document = bids(bidder("A", items=GAPPY, decided_loads={item: {**LOAD, **load}}))
    with pytest.raises(InputErrors) as refused:
        read_bids(document)
    (problem,) = refused.value.problems
    assert problem.path == f"bidders[0].decided_loads{path}"
    assert allowed in problem.allowed


def test_an_amount_and_a_reason_are_required():
    document = bids(bidder("A", items=GAPPY, decided_loads={"licence": {}}))
    with pytest.raises(InputErrors) as refused:
        read_bids(document)
    assert {each.path.rpartition(".")[2] for each in refused.value.problems} == {"amount", "reason"}


def test_an_evaluation_without_decisions_says_nothing_of_them():
    assert "by_rule" not in str(evaluation_json(evaluated(bidder("A"))))
    assert "4,000+" in evaluation_text(evaluated(*offers())).replace(".00", "")


def test_the_checksum_of_the_figures_is_of_figures_alone():
    one = figures_checksum(evaluated(*offers()))
    assert figures_checksum(evaluated(*offers(reason="other words"))) == one
    assert figures_checksum(evaluated(*offers(amount=4_000.01))) != one


@RUNS
@given(documents(), st.floats(0, 1e6))
def test_a_decided_load_never_lowers_a_price_below_as_read_and_moves_no_other_offer(document, amount):
    decided = deepcopy(document)
    loads = {
        item: {"amount": amount, "reason": "decided"}
        for item in ITEMS
        if decided["bidders"][0]["items"].get(item) in (None, "by others")
    }
    decided["bidders"][0]["decided_loads"] = loads
    one, other = evaluate(read_bids(document)), evaluate(read_bids(decided))
    (before, *rest), (after, *others) = one.bidders, other.bidders
    assert after.as_read == before.as_read
    assert [each.evaluated for each in others] == [each.evaluated for each in rest]
    if after.evaluated is not None:
        assert after.evaluated >= after.as_read * (1 - 1e-12)
    for item in loads:
        assert after.items[item] == amount
        assert after.reasons.items[item].by_rule.amount == before.items[item]
