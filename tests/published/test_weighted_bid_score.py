"""Weighted bid score, a worked example of a public tender's evaluation form, computed again.

Source: the published example recorded with the project's check values (weighted bid score). Maxima 60
experience, 40 quality, 30 time and 70 price, 200 points together; A scores 40, 30 and 20 and asks 10,000, B
scores 32, 20 and 22 and asks 8,000. Price points are 70 times lowest / own. Totals 146 and 144: A wins at a
price that is 25 percent higher. The tolerance is that of binary fractions: every published figure is exact.

Here weights are percentages: a group weighs its maximum as a share of the 130 technical points, technical
and price share 130 to 70, and the combined score of 100 is half the published total of 200.

Second example, from memory (Indian guidelines for consultants, 70 to 30): technical 75, 80 and 90 at prices
120, 100 and 110 give 77.5, 86.0 and 90.27.
"""

import pytest

from specapp.evaluation.evaluating import evaluate
from specapp.evaluation.ranking import Candidate, combined_score
from specapp.evaluation.reading import read_bids

MAXIMA = {"experience": 60, "quality": 40, "time": 30}
SCORES = {
    "A": {"experience": 40, "quality": 30, "time": 20},
    "B": {"experience": 32, "quality": 20, "time": 22},
}
PRICES = {"A": 10_000, "B": 8_000}
TOTAL_POINTS = 200


@pytest.fixture(scope="module")
def evaluation():
    technical = sum(MAXIMA.values())
    return evaluate(
        read_bids(
            {
                "settings": {
                    "currency": "USD",
                    "method": "weighted",
                    "weights": {"technical": 65, "price": 35},
                    "groups": {name: 100 * most / technical for name, most in MAXIMA.items()},
                },
                "bidders": [
                    {
                        "name": name,
                        "currency": "USD",
                        "fob": PRICES[name],
                        "factors": {group: points / MAXIMA[group] for group, points in scores.items()},
                    }
                    for name, scores in SCORES.items()
                ],
            }
        )
    )


def test_totals(evaluation):
    totals = {row.name: row.combined / 100 * TOTAL_POINTS for row in evaluation.rankings[0].rows}
    assert totals == {"A": pytest.approx(146, abs=1e-9), "B": pytest.approx(144, abs=1e-9)}


def test_the_dearer_offer_wins(evaluation):
    assert [(row.rank, row.name) for row in evaluation.rankings[0].rows] == [(1, "A"), (2, "B")]


@pytest.mark.parametrize(("name", "points"), [("A", 56), ("B", 70)])
def test_price_points(evaluation, name, points):
    offer = Candidate(name, PRICES[name], 0)
    assert combined_score(offer, (0, 100), evaluation.lowest) * 0.7 == pytest.approx(points, abs=1e-9)


@pytest.mark.parametrize(
    ("technical", "price", "combined"), [(75, 120, 77.5), (80, 100, 86), (90, 110, 90.27)]
)
def test_seventy_to_thirty(technical, price, combined):
    offer = Candidate("offer", price, technical)
    assert combined_score(offer, (70, 30), lowest=100) == pytest.approx(combined, abs=0.005)
