"""Time of a comparison of two proposals of eight stages: at most 20 ms, usually 5, processor time.

Limits hold on the reference computer of `test_documents_speed` and are scaled on a slower one.
"""

from statistics import median
from time import process_time

import pytest

from specapp.rulebook.comparison import compare
from specapp.rulebook.first_difference import first_difference
from specapp.rulebook.proposing import propose_document
from tests.benchmarks.slowness import slowness
from tests.rulebook.moved import sample

MOST_SECONDS = 0.020
USUAL_SECONDS = 0.005


def _with_another_clearance():
    changed = sample("eight_stage")
    changed["pinions"][1]["diametral_clearance"] = "0.07 mm"
    return changed


def _another_machine():
    return sample("eight_stage") | {
        "service_class": "packaged_air",
        "gases": ["air"],
        "setting_units": "us",
    }


@pytest.mark.parametrize(
    ("changed", "most_seconds"),
    [(_with_another_clearance, USUAL_SECONDS), (_another_machine, MOST_SECONDS)],
)
def test_comparison_of_eight_stages(benchmark, changed, most_seconds):
    before, after = propose_document(sample("eight_stage")), propose_document(changed())
    found = benchmark.pedantic(compare, (before, after), rounds=15, warmup_rounds=2)
    assert found.changes
    if benchmark.enabled:
        assert _seconds(lambda: compare(before, after)) <= most_seconds * slowness()


def test_first_difference_of_eight_stages(benchmark):
    before, after = propose_document(sample("eight_stage")), propose_document(_with_another_clearance())
    found = benchmark.pedantic(first_difference, (before, after, "P2/P2-1/radial"), rounds=15)
    assert found.fact == "pinions[1].diametral_clearance"


def _seconds(run):
    times = []
    for _ in range(9):
        start = process_time()
        run()
        times.append(process_time() - start)
    return median(times)
