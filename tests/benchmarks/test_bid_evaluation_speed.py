"""Time of an evaluation: 20 bidders by 100 items with gaps and four rankings in 20 ms of processor time."""

from statistics import median
from time import process_time

from specapp.evaluation.evaluating import evaluate
from specapp.evaluation.reading import read_bids
from tests.evaluation.samples import bidder, bids

BIDDERS = 20
ITEMS = [f"item {number}" for number in range(100)]
LIMIT_MS = 20.0
ROUNDS = 15


def test_evaluation_of_many_offers():
    offers = [
        bidder(
            f"bidder {number}",
            fob=100_000 + 1_000 * number,
            inland=None,
            items={item: 10 * place + number for place, item in enumerate(ITEMS) if (place + number) % 7},
        )
        for number in range(BIDDERS)
    ]
    weights = [[60, 40], [50, 50], [30, 70]]
    read = read_bids(bids(*offers, items=ITEMS, settings={"alternative_weights": weights}))
    times = []
    for _ in range(ROUNDS):
        start = process_time()
        evaluation = evaluate(read)
        times.append((process_time() - start) * 1000)
    assert len(evaluation.rankings[0].rows) == BIDDERS
    assert median(times) <= LIMIT_MS
