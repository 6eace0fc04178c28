"""An acceptable offer without a price has no place and says why; the others are evaluated all the same."""

import pytest

from specapp.domain.problems import InputErrors
from specapp.evaluation.offers_read import PriceLine, PriceOffer, bidder_document
from specapp.evaluation.reading import read_bids
from tests.evaluation.samples import bidder, bids, evaluated, order, result

UNPRICED = {"currency": None, "fob": None, "items": {}, "unpriced_because": "no price for Probe"}


@pytest.mark.parametrize("whose", ["all", "acceptable"])
def test_it_has_no_place_and_an_open_point(whose):
    evaluation = evaluated(bidder("A"), bidder("B", **UNPRICED), missing_items_from=whose)
    assert order(evaluation) == ["A"]
    assert result(evaluation, "B").unranked_because == "no price for Probe"
    assert result(evaluation, "B").technical == 100
    assert [(each.key, each.bidder) for each in evaluation.open_points] == [("B/fob", "B")]


def test_below_the_pass_mark_it_is_no_open_point():
    poor = bidder("B", **UNPRICED, factors={"Measurement": 0, "Integrity": 0})
    evaluation = evaluated(bidder("A"), poor)
    assert result(evaluation, "B").unranked_because == "below the pass mark"
    assert evaluation.open_points == ()


@pytest.mark.parametrize(
    ("changes", "path"),
    [({"unpriced_because": None}, "fob"), ({"fob": 5, "currency": "USD"}, "unpriced_because")],
)
def test_either_a_price_or_why_there_is_none(changes, path):
    with pytest.raises(InputErrors) as refused:
        read_bids(bids(bidder("A"), bidder("B", **{**UNPRICED, **changes})))
    assert refused.value.problems[0].path == f"bidders[1].{path}"


def _document(*prices):
    lines = tuple(PriceLine(f"k{number}", f"Line {number}", 2, price) for number, price in enumerate(prices))
    offer = PriceOffer("USD", lines, (), {}, (), (), {})
    return bidder_document("B", offer, weeks=10, factors={}, rates={}, currency="USD")


def test_lines_without_a_price_are_named():
    assert _document(1, None)["unpriced_because"] == "no price for Line 1"
    told = _document(1, *[None] * 5)["unpriced_because"]
    assert told == "no price for Line 1, Line 2, Line 3 and 2 more"
    assert "unpriced_because" not in _document(1, 2)
    assert _document(1, 2)["fob"] == 6
