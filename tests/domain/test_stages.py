"""Where stages sit: default filling, named stages, sides, and what cannot be (criteria section 2)."""

from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.domain.stages import PinionStages, StageErrors, assign_stages


@dataclass(frozen=True)
class Shaft:
    stages: tuple[int, ...] = ()
    stage_sides: tuple[int, ...] = ()
    role: str = "driven"


EMPTY = Shaft()
INPUT = Shaft(role="input")


@pytest.mark.parametrize(
    ("count", "pinions", "stages"),
    [
        (1, [EMPTY], [(1,)]),
        (2, [EMPTY], [(1, 2)]),
        (2, [EMPTY, EMPTY], [(1,), (2,)]),
        (3, [EMPTY, EMPTY], [(1, 2), (3,)]),
        (4, [EMPTY, EMPTY], [(1, 2), (3, 4)]),
        (5, [EMPTY, EMPTY, EMPTY], [(1, 2), (3, 4), (5,)]),
        (4, [EMPTY, EMPTY, EMPTY], [(1, 2), (3,), (4,)]),
        (10, [EMPTY] * 5, [(1, 2), (3, 4), (5, 6), (7, 8), (9, 10)]),
        (3, [INPUT, EMPTY, EMPTY], [(), (1, 2), (3,)]),
        (3, [EMPTY, Shaft((1,))], [(2, 3), (1,)]),
        (3, [Shaft((3, 1)), EMPTY], [(3, 1), (2,)]),
    ],
)
def test_stages_fill_the_pinions(count, pinions, stages):
    assert [own.stages for own in assign_stages(count, pinions)] == stages


def test_sides_follow_the_order_listed_and_say_what_is_assumed():
    told, lone, filled = assign_stages(4, [Shaft((2, 1)), Shaft((3,)), EMPTY])
    assert told == PinionStages((2, 1), (1, 2), sides_assumed=False, stages_assumed=False)
    assert lone == PinionStages((3,), (1,), sides_assumed=True, stages_assumed=False)
    assert filled == PinionStages((4,), (1,), sides_assumed=True, stages_assumed=True)
    assert assign_stages(1, [Shaft((1,), (2,))])[0] == PinionStages((1,), (2,))


@pytest.mark.parametrize(
    ("count", "pinions", "problems"),
    [
        (2, [Shaft((1, 2)), EMPTY], [(1, "stages")]),
        (2, [Shaft((1,)), Shaft((1,))], [(1, "stages")]),
        (3, [Shaft((1,)), Shaft((2,))], [(1, "stages")]),
        (2, [Shaft((1, 1))], [(0, "stages")]),
        (2, [Shaft((1, 3))], [(0, "stages")]),
        (3, [Shaft((1, 2, 3))], [(0, "stages")]),
        (1, [Shaft((1,), role="input"), EMPTY], [(0, "stages")]),
        (2, [Shaft((1, 2), (1,))], [(0, "stage_sides")]),
        (2, [Shaft((1, 2), (1, 1))], [(0, "stage_sides")]),
        (2, [Shaft((1, 2), (1, 3))], [(0, "stage_sides")]),
        (1, [Shaft((), (1, 2))], [(0, "stage_sides")]),
        (4, [Shaft((1, 5)), Shaft((2, 2))], [(0, "stages"), (1, "stages")]),
    ],
)
def test_what_cannot_be_is_named_with_its_pinion(count, pinions, problems):
    with pytest.raises(StageErrors) as caught:
        assign_stages(count, pinions)
    assert [(problem.pinion, problem.field) for problem in caught.value.problems] == problems


@given(st.lists(st.sampled_from([EMPTY, INPUT]), min_size=1, max_size=5), st.integers(1, 10))
def test_every_stage_sits_on_exactly_one_driven_pinion(pinions, count):
    driven = sum(pinion.role == "driven" for pinion in pinions)
    if not driven <= count <= 2 * driven:
        return
    placed = assign_stages(count, pinions)
    assert sorted(stage for own in placed for stage in own.stages) == list(range(1, count + 1))
    assert all(
        bool(own.stages) == (pinion.role == "driven") for own, pinion in zip(placed, pinions, strict=True)
    )
    assert all(len(own.stages) == len(own.sides) == len(set(own.sides)) <= 2 for own in placed)
