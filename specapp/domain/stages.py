"""Which stage sits on which pinion, and on which side of the casing.

Pinions that name their stages keep them; the others are filled in order, two stages each while enough
remain for every later one. Input pinions carry none. The first stage listed sits on side 1, which faces
the driver, the second on side 2. Source: common practice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

STAGES_A_PINION = 2


class PinionLike(Protocol):
    """What of a pinion decides where its stages sit."""

    @property
    def role(self) -> str: ...
    @property
    def stages(self) -> tuple[int, ...]: ...
    @property
    def stage_sides(self) -> tuple[int, ...]: ...


@dataclass(frozen=True, slots=True)
class PinionStages:
    """The stages of one pinion and, in the same order, their sides.

    `sides_assumed` is true where a person must confirm them: the side of a lone stage that was not
    told, or the sides of stages that were themselves assumed.
    """

    stages: tuple[int, ...] = ()
    sides: tuple[int, ...] = ()
    sides_assumed: bool = False
    stages_assumed: bool = False


@dataclass(frozen=True, slots=True)
class StageProblem:
    """One thing wrong: pinion counted from 0, its field, and what is allowed."""

    pinion: int
    field: str
    allowed: str
    message: str = ""


class StageErrors(ValueError):
    """The stages cannot be placed."""

    def __init__(self, problems: Sequence[StageProblem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(f"pinions[{p.pinion}].{p.field}: allowed: {p.allowed}" for p in problems))


def assign_stages(stage_count: int, pinions: Sequence[PinionLike]) -> tuple[PinionStages, ...]:
    """Return every pinion's stages and sides; raise `StageErrors` with all problems at once."""
    placed, problems = place_stages(stage_count, pinions)
    if problems:
        raise StageErrors(problems)
    return placed


def place_stages(
    stage_count: int, pinions: Sequence[PinionLike]
) -> tuple[tuple[PinionStages, ...], list[StageProblem]]:
    """Return every pinion's stages as far as they can be placed, and what is wrong."""
    problems = _named_problems(stage_count, pinions)
    chosen = {index: pinion.stages for index, pinion in enumerate(pinions) if pinion.stages}
    named = {stage for stages in chosen.values() for stage in stages}
    remaining = [stage for stage in range(1, stage_count + 1) if stage not in named]
    unnamed = [i for i, pinion in enumerate(pinions) if pinion.role != "input" and not pinion.stages]
    # A wrong list says nothing about which stages are free, so nothing is concluded from it.
    if not problems:
        problems = _fill(remaining, unnamed, chosen, pinions)
    placed = []
    for index, pinion in enumerate(pinions):
        stages = chosen.get(index, ())
        wrong = any(problem.pinion == index for problem in problems)
        sides = _sides(index, pinion, stages, problems) if not wrong else ()
        assumed = not pinion.stages and bool(stages)
        sides_assumed = bool(stages) and not pinion.stage_sides and (assumed or len(stages) == 1)
        placed.append(PinionStages(stages, sides, sides_assumed, assumed))
    return tuple(placed), problems


def _named_problems(stage_count: int, pinions: Sequence[PinionLike]) -> list[StageProblem]:
    problems = []
    holder: dict[int, int] = {}
    for index, pinion in enumerate(pinions):
        stages = pinion.stages
        if stages and pinion.role == "input":
            problems.append(StageProblem(index, "stages", "none: the driver turns this pinion"))
        elif len(stages) > STAGES_A_PINION or len(set(stages)) != len(stages):
            problems.append(StageProblem(index, "stages", "one or two different stages"))
        elif any(not 1 <= stage <= stage_count for stage in stages):
            problems.append(StageProblem(index, "stages", f"stages 1 to {stage_count}, as stage_count says"))
        elif taken := [stage for stage in stages if stage in holder]:
            message = f"stage {taken[0]} is also on pinions[{holder[taken[0]]}]"
            problems.append(StageProblem(index, "stages", "each stage on one pinion", message))
        for stage in stages:
            holder.setdefault(stage, index)
    return problems


def _fill(
    remaining: list[int],
    unnamed: list[int],
    chosen: dict[int, tuple[int, ...]],
    pinions: Sequence[PinionLike],
) -> list[StageProblem]:
    problems = []
    for position, index in enumerate(unnamed):
        later = len(unnamed) - position - 1
        count = STAGES_A_PINION if len(remaining) - STAGES_A_PINION >= later else 1
        taken, remaining = tuple(remaining[:count]), remaining[count:]
        if taken:
            chosen[index] = taken
        else:
            problems.append(StageProblem(index, "stages", "at least one stage on every driven pinion"))
    driven = [index for index, pinion in enumerate(pinions) if pinion.role != "input"]
    if remaining and driven:
        left = ", ".join(str(stage) for stage in remaining)
        allowed = "every stage on a pinion, at most two each"
        problems.append(StageProblem(driven[-1], "stages", allowed, f"left without a pinion: {left}"))
    return problems


def _sides(
    index: int, pinion: PinionLike, stages: tuple[int, ...], problems: list[StageProblem]
) -> tuple[int, ...]:
    sides = pinion.stage_sides
    if not sides:
        return tuple(range(1, len(stages) + 1))
    if len(sides) != len(stages):
        problems.append(StageProblem(index, "stage_sides", f"one side for each of its {len(stages)} stages"))
    elif len(set(sides)) != len(sides) or any(side not in (1, 2) for side in sides):
        problems.append(StageProblem(index, "stage_sides", "side 1 and side 2, one stage on each"))
    return sides
