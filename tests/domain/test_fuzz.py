"""Whatever is sent, reading gives a description or problems, never anything else."""

import copy
import json

from hypothesis import given, settings
from hypothesis import strategies as st

from specapp.domain.machine import MachineDescription
from specapp.domain.problems import InputErrors
from specapp.domain.reading import machine_json
from tests.domain.samples import FIXTURES, read

TEXTS = st.one_of(
    st.text(st.characters(exclude_categories=()), max_size=20),
    st.sampled_from(
        ["60 mm", "0,35 mm", "1,485", "25 Hz", "nan", "1e999 mm", "unclassified", "P1", "air", "", "T3"]
    ),
)
LEAVES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    TEXTS,
    st.sampled_from([0, 1, 2, 3, 10, 18200, 10**400]),
)
TREES = st.recursive(
    LEAVES,
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(TEXTS, inner, max_size=4)),
    max_leaves=8,
)
FIELDS = [*MachineDescription.model_fields, "colour"]
SAMPLES = [json.loads(path.read_bytes()) for path in FIXTURES]


def check(document):
    try:
        told = read(document)
    except InputErrors as errors:
        problems = errors.problems
    else:
        assert read(machine_json(told)) == told
        return
    assert problems
    for problem in problems:
        line = problem.line()
        assert all((problem.path, problem.found, problem.allowed))
        assert line.startswith(problem.path)
        line.encode("utf-8")
        assert "\n" not in line
        assert len(line) < 800


@settings(max_examples=150, deadline=None)
@given(st.dictionaries(st.sampled_from(FIELDS), TREES, max_size=8))
def test_any_object(document):
    check(document)
    check(json.dumps(document))


@settings(max_examples=100, deadline=None)
@given(st.one_of(st.binary(max_size=60), st.text(st.characters(exclude_categories=()), max_size=60)))
def test_any_bytes_and_text(document):
    check(document)


def _places(value, place=()):
    yield place
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _places(item, (*place, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from _places(item, (*place, index))


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_any_sample_with_some_places_changed(data):
    told = copy.deepcopy(data.draw(st.sampled_from(SAMPLES)))
    for _ in range(data.draw(st.integers(1, 3))):
        place = data.draw(st.sampled_from([place for place in _places(told) if place]))
        holder = told
        for part in place[:-1]:
            holder = holder[part]
        holder[place[-1]] = data.draw(TREES)
    check(told)
