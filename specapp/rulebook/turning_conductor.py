"""What a thicker or thinner conductor would turn: the sizes that are known, tried one after the other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

from specapp.kernel.loops import conductor_area_mm2, conductor_sizes
from specapp.rulebook.fact_names import fact_words
from specapp.rulebook.kinds import Kind, Turned
from specapp.rulebook.reevaluation import Reevaluation
from specapp.rulebook.turned_words import item_words, turns
from specapp.rulebook.turning_records import NOT_PASSED, TEXT_TURNS, PassingValue, TurningPoint

PATH: Final = "installation.conductor"
UNIT: Final = "mm2"
_SIDE: Final = {-1: "thinner", 1: "thicker"}


@dataclass(frozen=True, slots=True)
class SizeFound:
    """The first size on one side with which something holds, and the one before; ``side`` -1 is thinner."""

    side: int
    size: str
    before: str

    @property
    def area_mm2(self) -> float:
        return conductor_area_mm2(self.size)

    @property
    def before_mm2(self) -> float:
        return conductor_area_mm2(self.before)


def sizes_from(now: str, side: int) -> tuple[str, ...]:
    """Return the sizes thicker (``side`` 1) or thinner (-1) than one, the nearest first."""
    here_mm2 = conductor_area_mm2(now)
    beyond = [size for size in conductor_sizes() if (conductor_area_mm2(size) - here_mm2) * side > 0]
    return tuple(sorted(beyond, key=conductor_area_mm2, reverse=side < 0))


def first_size(
    now: str, side: int, turned: Callable[[str], Turned], holds: Callable[[Turned], bool]
) -> SizeFound | None:
    """Return the nearest size on one side with which something holds, None where no size does."""
    before = now
    for size in sizes_from(now, side):
        if holds(turned(size)):
            return SizeFound(side, size, before)
        before = size
    return None


class ConductorSizes:
    """The size of the conductors, where it is told: a choice among sizes, held by its cross-section."""

    def __init__(self, base: Reevaluation) -> None:
        self._base = base
        self._now = base.machine.installation.conductor
        self.is_moved = int(self._now is not None and base.reaches(PATH))

    def turning_points(self) -> list[TurningPoint]:
        return [self._point(found, turned) for found, turned in self._found(bool)]

    def passing_values(self) -> list[PassingValue]:
        """Return, for each check that does not pass, the nearest size with which it would."""
        waiting = [
            kind for kind, result in self._base.kinds.items() if kind[0] == "check" and result in NOT_PASSED
        ]
        values = []
        for check in dict.fromkeys(kind[2] for kind in waiting):
            own = [kind for kind in waiting if kind[2] == check]
            for found, turned in self._found(partial(_any_passes, own)):
                subjects = tuple(kind[1] for kind in own if _any_passes([kind], turned))
                values.append(self._passing(check, str(self._base.kinds[own[0]]), subjects, found))
        return values

    def _found(self, holds: Callable[[Turned], bool]) -> Iterator[tuple[SizeFound, Turned]]:
        if not self.is_moved or self._now is None:
            return
        for side in (-1, 1):
            found = first_size(self._now, side, self._turned, holds)
            if found is not None:
                yield found, self._turned(found.size)

    def _turned(self, size: str) -> Turned:
        return self._base.turned_by(PATH, size)

    def _point(self, found: SizeFound, turned: Turned) -> TurningPoint:
        what = turns(turned)
        said = "; ".join(turn.text for turn in what[:TEXT_TURNS])
        more = f"; and {len(what) - TEXT_TURNS} more changes" if len(what) > TEXT_TURNS else ""
        return TurningPoint(
            PATH,
            fact_words(PATH, ()),
            self._now_mm2,
            UNIT,
            False,
            "above" if found.side > 0 else "below",
            found.area_mm2,
            found.before_mm2,
            found.area_mm2,
            abs(found.area_mm2 - found.before_mm2),
            self._distance(found),
            what,
            f"The conductor as {found.size} and {_SIDE[found.side]}, now {self._now}: {said}{more}.",
        )

    def _passing(self, check: str, result: str, subjects: tuple[str, ...], found: SizeFound) -> PassingValue:
        text = (
            f"{check} of {item_words(subjects)} would pass with conductors of {found.size} and "
            f"{_SIDE[found.side]}; now {self._now} ({result})."
        )
        return PassingValue(
            PATH,
            fact_words(PATH, ()),
            self._now_mm2,
            UNIT,
            check,
            result,
            subjects,
            "above" if found.side > 0 else "below",
            found.area_mm2,
            found.before_mm2,
            found.area_mm2,
            self._distance(found),
            text,
        )

    @property
    def _now_mm2(self) -> float:
        return conductor_area_mm2(self._now or "")

    def _distance(self, found: SizeFound) -> float:
        return abs(found.area_mm2 - self._now_mm2) / self._now_mm2


def _any_passes(kinds: Sequence[Kind], turned: Turned) -> bool:
    return any(turned.get(kind, (None, None))[1] == "pass" for kind in kinds)
