"""What holds for any bids: order, scale and currency decide nothing, a load never makes an offer cheaper."""

from copy import deepcopy

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from specapp.evaluation.evaluating import evaluate
from specapp.evaluation.evaluation import evaluation_json
from specapp.evaluation.reading import read_bids
from tests.evaluation.samples import bids, order, result

ITEMS = ("factory test", "licence", "spares")
PRICED = ("fob", "corrections", "taxes", "freight_insurance", "inland")

prices = st.integers(1_000, 1_000_000)
parts = st.none() | st.integers(0, 50_000)
answers = st.none() | st.sampled_from(["included", "by others"]) | st.integers(0, 20_000)
factors = st.sampled_from([0, 0.5, 0.7, 0.75, 0.8, 0.9, 1])


def offers(answers=answers, parts=parts):
    return st.fixed_dictionaries(
        {
            "currency": st.sampled_from(["USD", "EUR"]),
            "fob": prices,
            "discount_percent": st.sampled_from([0, 2, 5, 12.5]),
            "corrections": st.integers(-900, 5_000),
            "taxes": parts,
            "freight_insurance": parts,
            "inland": parts,
            "items": st.fixed_dictionaries(dict.fromkeys(ITEMS, answers)),
            "weeks": st.integers(10, 60),
            "advance_percent": st.sampled_from([0, 10, 30]),
            "factors": st.fixed_dictionaries({"Measurement": factors, "Integrity": factors}),
        }
    )


rules = st.fixed_dictionaries(
    {
        "missing_items_from": st.sampled_from(["all", "acceptable"]),
        "method": st.sampled_from(["lowest_evaluated", "weighted"]),
        "late_weeks_cap": st.none() | st.integers(0, 10),
        "estimates": st.dictionaries(st.sampled_from(ITEMS), st.integers(1, 20_000)),
        "alternative_weights": st.just([[60, 40], [50, 50], [30, 70]]),
    }
)


def documents(**kinds):
    return st.builds(
        lambda found, settings: bids(
            *({"name": f"bidder {number}", **offer} for number, offer in enumerate(found)),
            settings=settings,
            items=ITEMS,
        ),
        st.lists(offers(**kinds), min_size=1, max_size=5),
        rules,
    )


COMPLETE = {"answers": st.integers(0, 20_000) | st.just("included"), "parts": st.integers(0, 50_000)}

RUNS = settings(max_examples=60, deadline=None)


def evaluation_of(document):
    return evaluate(read_bids(document))


@RUNS
@given(documents())
def test_lines_sum_to_the_evaluated_price_and_loads_never_lower_a_price(document):
    for each in evaluation_of(document).bidders:
        if each.evaluated is None:
            assert None in each.lines.values()
            continue
        assert each.evaluated == pytest.approx(sum(each.lines.values()))
        assert each.evaluated >= each.as_read * (1 - 1e-12)
        assert all(value >= 0 for value in each.lines.values())


@RUNS
@given(documents())
def test_every_offer_is_ranked_or_says_why_not_and_what_is_open_has_a_point(document):
    evaluation = evaluation_of(document)
    for ranked in evaluation.rankings:
        assert {row.name for row in ranked.rows} == {each.name for each in evaluation.bidders if each.ranked}
        assert all(0 <= row.combined <= 100 + 1e-9 for row in ranked.rows)
    for each in evaluation.bidders:
        assert each.ranked == (each.unranked_because is None) == (each.passes and each.evaluated is not None)
        points = [point for point in evaluation.open_points if point.bidder == each.name]
        assert bool(points) == (each.passes and each.evaluated is None)


@RUNS
@given(documents(), st.randoms(use_true_random=False))
def test_the_order_of_the_bidders_decides_nothing(document, random):
    shuffled = deepcopy(document)
    random.shuffle(shuffled["bidders"])
    one, other = evaluation_json(evaluation_of(document)), evaluation_json(evaluation_of(shuffled))
    for found in (one, other):
        found["bidders"].sort(key=lambda each: each["name"])
        found["open_points"].sort(key=lambda point: point["key"])
    assert one == other


@RUNS
@given(documents(), st.sampled_from([0.5, 3, 1000]))
def test_the_scale_of_all_prices_decides_no_ranking(document, scale):
    scaled = deepcopy(document)
    for offer in scaled["bidders"]:
        for field in PRICED:
            offer[field] = None if offer[field] is None else offer[field] * scale
        offer["items"] = {
            item: answer * scale if isinstance(answer, int) else answer
            for item, answer in offer["items"].items()
        }
    estimates = scaled["settings"]["estimates"]
    scaled["settings"]["estimates"] = {item: amount * scale for item, amount in estimates.items()}
    one, other = evaluation_of(document), evaluation_of(scaled)
    assert [order(one, number) for number in range(4)] == [order(other, number) for number in range(4)]
    assert one.flips == other.flips


@RUNS
@given(documents(), st.sampled_from([0.008, 1.25, 90]))
def test_the_currency_an_offer_is_told_in_decides_nothing(document, rate):
    """An offer in dollars and the same one in another currency at its rate come to the same."""
    told = deepcopy(document)
    told["settings"]["rates"]["XTS"] = rate
    for offer in told["bidders"]:
        if offer["currency"] == "USD":
            offer["currency"] = "XTS"
            for field in PRICED:
                offer[field] = None if offer[field] is None else offer[field] / rate
    one, other = evaluation_of(document), evaluation_of(told)
    for before, after in zip(one.bidders, other.bidders, strict=True):
        assert after.as_read == pytest.approx(before.as_read)
        assert after.evaluated == (None if before.evaluated is None else pytest.approx(before.evaluated))
    assert [order(one, number) for number in range(4)] == [order(other, number) for number in range(4)]


@RUNS
@given(documents(**COMPLETE), offers(**COMPLETE))
def test_another_complete_offer_changes_no_evaluated_price_of_complete_offers(document, added):
    more = deepcopy(document)
    more["bidders"].append({"name": "added", **added})
    one, other = evaluation_of(document), evaluation_of(more)
    for each in one.bidders:
        assert result(other, each.name).evaluated == each.evaluated


@RUNS
@given(documents(), offers(**COMPLETE))
def test_another_offer_with_lower_quotes_changes_no_load_taken_from_the_highest(document, added):
    one = evaluation_of(document)
    reasons = [reason for each in one.bidders for reason in each.reasons.items.values()]
    assume(any(reason.basis == "highest_quote" for reason in reasons))
    added["items"] = dict.fromkeys(ITEMS, 1)
    more = deepcopy(document)
    more["bidders"].append({"name": "added", **added})
    other = evaluation_of(more)
    for each in one.bidders:
        for item, reason in each.reasons.items.items():
            if reason.basis == "highest_quote":
                assert result(other, each.name).items[item] == each.items[item]


@RUNS
@given(documents())
def test_a_lower_price_of_ones_own_never_lowers_ones_score(document):
    cheaper = deepcopy(document)
    cheaper["bidders"][0]["fob"] *= 0.95
    before, after = evaluation_of(document), evaluation_of(cheaper)
    name = before.bidders[0].name
    for one, other in zip(before.rankings, after.rankings, strict=True):
        scores = [[row.combined for row in ranked.rows if row.name == name] for ranked in (one, other)]
        assert len(scores[0]) == len(scores[1])
        assert all(now >= then - 1e-9 for then, now in zip(*scores, strict=True))
