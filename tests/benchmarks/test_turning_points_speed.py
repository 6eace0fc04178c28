"""Time to find what would turn a machine of eight stages: at most 3 s of one processor, to the end.

Every number that is told or assumed is moved both ways. The limit holds on the reference computer of
`test_documents_speed` and is scaled on a slower one.
"""

from itertools import pairwise
from time import process_time

from specapp.rulebook.turning_points import turning_points
from tests.benchmarks.slowness import slowness
from tests.rulebook.moved import CRITERIA, read, sample

MOST_SECONDS = 3.0


def test_turning_points_of_eight_stages(benchmark):
    machine = read(sample("eight_stage"))
    started, steps = [], []

    def search():
        started.append(process_time())
        return turning_points(machine, CRITERIA, progress=lambda step: steps.append(process_time()))

    found = benchmark.pedantic(search, rounds=2)
    took = steps[-1] - started[-1]
    assert len(found.points) > 50
    if benchmark.enabled:
        times_slower = slowness()
        longest = max(later - earlier for earlier, later in pairwise(steps))
        print(f"{took:.2f} s, longest step {longest:.2f} s, computer {times_slower:.1f} times slower")
        assert took <= MOST_SECONDS * times_slower
