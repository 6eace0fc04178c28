"""What another value of one input would turn, by running again only the rules that it reaches.

One watched run tells what every rule looks at. With another value of an input, the rules that looked at it
run again, then those that looked at anything these answer differently, and so on in order; every other
rule would be given exactly what it was given before, and so answers what it answered before. Where the set
of points, shafts or bearings itself changes, everything is run again.
"""

from __future__ import annotations

from collections.abc import Sequence

from specapp.criteria.loader import CriteriaSet
from specapp.domain.machine import MachineDescription
from specapp.domain.overrides import Override
from specapp.rulebook.description_paths import with_value
from specapp.rulebook.engine import _order_points, _run, rules_by_phase
from specapp.rulebook.kinds import Kind, Kinds, Turned, kinds_of_context, turned
from specapp.rulebook.registry import RULES, Phase
from specapp.rulebook.replay import Replay
from specapp.rulebook.replay_ground import ReplayGround, Structure
from specapp.rulebook.watched_run import quiet_context


class Reevaluation:
    """One description, its watched run, and what would turn with another value of one input."""

    def __init__(
        self, machine: MachineDescription, criteria: CriteriaSet, overrides: Sequence[Override] = ()
    ) -> None:
        self.machine = machine
        self._criteria, self._overrides = criteria, overrides
        self._ground = ReplayGround(machine, criteria, overrides)
        self.kinds = self._ground.kinds
        # Rules that disagree about a value already are no ground to replay on.
        self._whole = bool(self._ground.final.conflicts)
        self._readers: dict[str, bool] = {}

    def reaches(self, path: str) -> bool:
        """Tell whether any rule looked at an input."""
        if path not in self._readers:
            self._readers[path] = any(path in run.reads for run in self._ground.runs)
        return self._readers[path]

    def assumed(self, path: str) -> float | None:
        """Return the number that the rules assume at a path, None where they assume none."""
        assumption = self._ground.final.assumptions.get(path)
        value = None if assumption is None else assumption.value
        return None if isinstance(value, bool) or not isinstance(value, int | float) else float(value)

    def checks_moved_by(self, path: str, value: float) -> frozenset[Kind]:
        """Return the checks that say anything else with this value; none where points come or go."""
        replay = Replay(self._ground, with_value(self.machine, path, value), path)
        try:
            replay.turned()
        except Structure:
            return frozenset()
        return frozenset(replay.moved_checks())

    def turned_by(self, path: str, value: float | str) -> Turned:
        """Return everything that is of another kind with this value of one input."""
        if not self.reaches(path):
            return {}
        machine = with_value(self.machine, path, value)
        if not self._whole:
            try:
                return Replay(self._ground, machine, path).turned()
            except Structure:
                pass
        return turned(self.kinds, self.kinds_of_machine(machine))

    def kinds_of_machine(self, machine: MachineDescription) -> Kinds:
        """Return the kinds of another description in full, every rule run."""
        context = quiet_context(machine, self._criteria, self._overrides)
        for phase, rules in rules_by_phase(len(RULES)).items():
            for rule in rules:
                _run(context, rule)
            if phase is Phase.POINTS:
                _order_points(context)
        return kinds_of_context(context)
