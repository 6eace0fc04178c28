"""Time of reading a described machine, checks included."""

from specapp.domain.reading import read_machine
from tests.domain.samples import CONTEXT, FIXTURES


def test_reading_the_eight_stage_machine(benchmark):
    sample = next(path for path in FIXTURES if path.stem == "eight_stage").read_bytes()
    benchmark(lambda: read_machine(sample, CONTEXT))
