"""The calculation of a setpoint written out with its numbers, from what its rule recorded.

Every number comes from the reads and criteria of the setpoint's own reason. The result of a line is the
candidate the rule found; the formula beside it is worked out too (`WorkedLine.found`), so that a formula
which no longer belongs to its rule shows in the tests instead of on paper. Nothing here decides: which
candidate governs, and the rounded setting, are the proposal's. Of a setpoint set by hand the rule's own
value is worked out, and the one in force stands apart with its author and reason.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from msgspec.structs import replace

from specapp.domain.display import number_text, with_unit
from specapp.domain.proposal import (
    AppliedOverride,
    Candidate,
    Point,
    Proposal,
    Reason,
    Record,
    Setpoint,
    Setpoints,
)
from specapp.kernel.shaft_vibration import acceptance_limit_uncapped_pp_um, zone_boundaries_pp_um
from specapp.kernel.units import convert
from specapp.rulebook.overriding import RULE_GOVERNED_BY, RULE_UNROUNDED, override_read

_UM_PER_MM = 1000.0
_NOISE = 1e-6
_DIGITS = 4
_BY_HAND = "override"
_THE_RULE = "the rule"
# The unit a formula works in, by the unit things are set in.
_CANONICAL = {"um": "um", "mm": "mm", "in/s": "mm/s", "degF": "degC"}
_DETECTED = {"um": "pp"}


class Given(Record, frozen=True):
    """A number that enters the calculation: its letter, what it is, its value as printed."""

    symbol: str
    meaning: str
    value: str


class WorkedLine(Record, frozen=True):
    """One candidate: the formula in letters and with its numbers, and the value it comes to.

    ``result`` is the candidate's recorded value as printed in the unit the formula works in, with the
    setting unit beside it where that is another one. ``found`` is the formula worked out (in ``unit``),
    None where the candidate needs a missing fact or no formula is known for it.
    """

    criterion: str
    formula: str
    numbers: str
    result: str
    found: float | None
    unit: str
    needs: str
    governs: bool


class WorkedCalculation(Record, frozen=True):
    """An alarm or a trip worked out; ``rounding`` is the step from the governing value to the setting.

    ``by_hand`` says which value is in force instead, by whom and why, where one was set; the lines and the
    rounding are then those of the rule.
    """

    title: str
    given: tuple[Given, ...]
    lines: tuple[WorkedLine, ...]
    rounding: str
    setpoint: Setpoint
    by_hand: str = ""


class _Formula(Record, frozen=True):
    letters: str
    numbers: str
    value: float


class _Inputs:
    """What the reason of a setpoint read, and the letters used so far."""

    def __init__(self, reason: Reason, level: str, setpoints: Setpoints) -> None:
        self.level = level
        self.setpoints = setpoints
        self._reads: Mapping[str, Any] = reason.reads
        self._criteria = {item.key: item.value for item in reason.criteria}
        self.given: dict[str, Given] = {}

    def criterion(self, key: str) -> float:
        return float(self._criteria[key])

    def read(self, ending: str) -> float:
        """Return the smallest of the facts whose path ends so; raises `KeyError` where none was read."""
        found = [
            value
            for path, value in self._reads.items()
            if path.endswith(ending) and isinstance(value, int | float)
        ]
        if not found:
            raise KeyError(ending)
        return float(min(found))

    def use(self, symbol: str, meaning: str, value: float, unit: str) -> float:
        printed = with_unit(value, unit, digits=_digits(value), detection=_DETECTED.get(unit, ""))
        self.given.setdefault(symbol, Given(symbol, meaning, printed))
        return value

    def acceptance_um(self) -> float:
        limit, speed = self.read(".acceptance_limit_um"), self.speed_rpm()
        curve = acceptance_limit_uncapped_pp_um(speed)
        text = f"acceptance limit, 25.4 × √(12 000 / n) = {_n(curve)}"
        meaning = text if abs(curve - limit) < _NOISE * curve else f"{text}, held at its cap"
        return self.use("A", meaning, limit, "um")

    def speed_rpm(self) -> float:
        return self.use("n", "speed of the shaft", self.read(".speed"), "rpm")

    def half_float_mm(self) -> float:
        try:
            play = self.read("axial_float")
        except KeyError:
            play = self.criterion("axial.float_default")
        return self.use("f", "axial float", play, "mm") / 2


def _n(value: float) -> str:
    return number_text(value, digits=_digits(value))


def _digits(value: float) -> int | None:
    """Return how many digits a value needs: all of a short one, four of the result of a calculation."""
    return None if len(f"{value:.10g}".replace(".", "").lstrip("-0")) <= _DIGITS + 1 else _DIGITS


def _of_limit(key: str) -> Callable[[_Inputs], _Formula]:
    def formula(inputs: _Inputs) -> _Formula:
        share, limit = inputs.criterion(key), inputs.acceptance_um()
        return _Formula(f"{_n(share)} × A", f"{_n(share)} × {_n(limit)}", share * limit)

    return formula


def _of_zone(key: str, boundary: str) -> Callable[[_Inputs], _Formula]:
    def formula(inputs: _Inputs) -> _Formula:
        share, speed = inputs.criterion(key), inputs.speed_rpm()
        zones = zone_boundaries_pp_um(speed)
        limit, top = (zones.bc, "9000") if boundary == "B/C" else (zones.cd, "13 200")
        letters = f"{_n(share)} × zone boundary {boundary}, {top} / √n"
        return _Formula(letters, f"{_n(share)} × {_n(limit)}", share * limit)

    return formula


def _of_clearance(key: str) -> Callable[[_Inputs], _Formula]:
    def formula(inputs: _Inputs) -> _Formula:
        share = inputs.criterion(key)
        gap = inputs.use("c", "diametral bearing clearance", inputs.read("diametral_clearance"), "mm")
        numbers = f"{_n(share)} × {_n(gap)} mm × 1000 µm/mm"
        return _Formula(f"{_n(share)} × c", numbers, share * gap * _UM_PER_MM)

    return formula


def _radial_baseline(inputs: _Inputs) -> _Formula:
    share, limit = inputs.criterion("radial.baseline"), inputs.acceptance_um()
    measured = inputs.use("b", "vibration measured as baseline", inputs.read("baseline_vibration"), "um")
    boundary = zone_boundaries_pp_um(inputs.speed_rpm()).bc
    letters = f"the larger of A and b + {_n(share)} × zone boundary B/C, 9000 / √n"
    numbers = f"the larger of {_n(limit)} and {_n(measured)} + {_n(share)} × {_n(boundary)}"
    return _Formula(letters, numbers, max(limit, measured + share * boundary))


def _separation(inputs: _Inputs) -> _Formula:
    share = inputs.criterion("radial.minimum_separation")
    trip = min(_canonical(item) for item in _known(inputs.setpoints.trip))
    return _Formula(f"trip before rounding / {_n(share)}", f"{_n(trip)} / {_n(share)}", trip / share)


def _axial(term: Callable[[_Inputs], _Formula]) -> Callable[[_Inputs], _Formula]:
    """Return a formula of half the float and an allowance; of it an alarm takes a capped share."""

    def formula(inputs: _Inputs) -> _Formula:
        half, allowance = inputs.half_float_mm(), term(inputs)
        if inputs.level == "trip":
            value = half + allowance.value
            return _Formula(f"f/2 + {allowance.letters}", f"{_n(half)} + {allowance.numbers}", value)
        cap, share = inputs.criterion("axial.alarm_cap"), inputs.criterion("axial.alarm_share")
        letters = f"f/2 + the smaller of {_n(cap)} and {_n(share)} × {allowance.letters}"
        numbers = f"{_n(half)} + the smaller of {_n(cap)} and {_n(share)} × {allowance.numbers}"
        return _Formula(letters, numbers, half + min(cap, share * allowance.value))

    return formula


def _allowance_cap(inputs: _Inputs) -> _Formula:
    cap = inputs.criterion("axial.allowance_cap")
    return _Formula("cap of the allowance", _n(cap), cap)


def _babbitt_share(inputs: _Inputs) -> _Formula:
    share = inputs.criterion("axial.babbitt_share")
    try:
        metal = inputs.read("babbitt")
    except KeyError:
        metal = inputs.criterion("axial.babbitt_default")
    inputs.use("w", "babbitt thickness", metal, "mm")
    return _Formula(f"{_n(share)} × w", f"{_n(share)} × {_n(metal)}", share * metal)


def _rub_share(inputs: _Inputs) -> _Formula:
    share, half = inputs.criterion("axial.rub_share"), inputs.half_float_mm()
    gap = inputs.use("g", "smallest axial gap of an impeller", inputs.read("impeller_axial_clearance"), "mm")
    letters, numbers = f"{_n(share)} × (g − f/2)", f"{_n(share)} × ({_n(gap)} − {_n(half)})"
    return _Formula(letters, numbers, share * (gap - half))


def _casing_zone(key: str, boundary: str) -> Callable[[_Inputs], _Formula]:
    def formula(inputs: _Inputs) -> _Formula:
        share, limit = inputs.criterion(key), _casing_boundary(inputs, key)
        return _Formula(
            f"{_n(share)} × zone boundary {boundary}", f"{_n(share)} × {_n(limit)}", share * limit
        )

    return formula


def _casing_boundary(inputs: _Inputs, key: str) -> float:
    """Return the zone boundary that the rule took for the machine's group and support [mm/s]."""
    setpoint = inputs.setpoints.alarm if key == "casing.zone" else inputs.setpoints.trip
    zone = next(item for item in _known(setpoint) if item.criterion == key)
    return _canonical(zone) / inputs.criterion(key)


def _casing_baseline(inputs: _Inputs) -> _Formula:
    share, cap = inputs.criterion("casing.baseline"), inputs.criterion("casing.baseline_cap")
    boundary = _casing_boundary(inputs, "casing.zone")
    measured = inputs.use(
        "b", "casing vibration measured as baseline", inputs.read("casing_baseline"), "mm/s"
    )
    letters = f"the smaller of b + {_n(share)} × zone boundary B/C and {_n(cap)} × that boundary"
    numbers = f"the smaller of {_n(measured)} + {_n(share)} × {_n(boundary)} and {_n(cap)} × {_n(boundary)}"
    return _Formula(letters, numbers, min(measured + share * boundary, cap * boundary))


def _of_speed(key: str) -> Callable[[_Inputs], _Formula]:
    def formula(inputs: _Inputs) -> _Formula:
        percent, speed = inputs.criterion(key), inputs.speed_rpm()
        return _Formula(f"{_n(percent)} % × n", f"{_n(percent)} / 100 × {_n(speed)}", percent / 100.0 * speed)

    return formula


_FORMULAS: Mapping[str, Callable[[_Inputs], _Formula]] = {
    "radial.alarm_multiple": _of_limit("radial.alarm_multiple"),
    "radial.trip_multiple": _of_limit("radial.trip_multiple"),
    "radial.alarm_zone": _of_zone("radial.alarm_zone", "B/C"),
    "radial.trip_zone": _of_zone("radial.trip_zone", "C/D"),
    "radial.alarm_clearance": _of_clearance("radial.alarm_clearance"),
    "radial.trip_clearance": _of_clearance("radial.trip_clearance"),
    "radial.baseline": _radial_baseline,
    "radial.minimum_separation": _separation,
    "axial.allowance_cap": _axial(_allowance_cap),
    "axial.babbitt_share": _axial(_babbitt_share),
    "axial.rub_share": _axial(_rub_share),
    "casing.zone": _casing_zone("casing.zone", "B/C"),
    "casing.trip_zone": _casing_zone("casing.trip_zone", "C/D"),
    "casing.baseline": _casing_baseline,
    "overspeed.trip_percent": _of_speed("overspeed.trip_percent"),
    "overspeed.gas_turbine_percent": _of_speed("overspeed.gas_turbine_percent"),
}


def worked_calculations(proposal: Proposal, point: Point) -> tuple[WorkedCalculation, ...]:
    """Return the calculations of a point's alarm and trip, and of its further readings'."""
    found = list(_of_setpoints(proposal, "", point.setpoints, point.voting_group))
    for reading in point.further_readings:
        found += _of_setpoints(proposal, f"{reading.quantity.replace('_', ' ')}, ", reading.setpoints)
    return tuple(found)


def _of_setpoints(
    proposal: Proposal, prefix: str, setpoints: Setpoints, group: str = ""
) -> list[WorkedCalculation]:
    return [
        _worked(proposal, prefix, level, setpoint, setpoints, _by_hand(proposal, group, level, setpoint))
        for level, setpoint in (("alarm", setpoints.alarm), ("trip", setpoints.trip))
        if setpoint is not None
    ]


def _worked(
    proposal: Proposal,
    prefix: str,
    level: str,
    setpoint: Setpoint,
    setpoints: Setpoints,
    by_hand: AppliedOverride | None,
) -> WorkedCalculation:
    inputs = _inputs(proposal, level, setpoint, setpoints)
    rule = setpoint if by_hand is None else _of_the_rule(proposal, setpoint, by_hand)
    lines = tuple(_line(candidate, rule, inputs) for candidate in setpoint.candidates)
    title = f"{prefix}{level}"
    given = tuple(inputs.given.values()) if inputs is not None else ()
    told = "" if by_hand is None else _told_by_hand(setpoint, by_hand)
    return WorkedCalculation(title[0].upper() + title[1:], given, lines, _rounding(rule), setpoint, told)


def _by_hand(proposal: Proposal, group: str, level: str, setpoint: Setpoint) -> AppliedOverride | None:
    """Return the override of the value of a setpoint, None where the rule's stands."""
    if setpoint.governed_by != _BY_HAND:
        return None
    return next((each for each in proposal.overrides if (each.item, each.field) == (group, level)), None)


def _of_the_rule(proposal: Proposal, setpoint: Setpoint, by_hand: AppliedOverride) -> Setpoint:
    """Return a setpoint with the value that the rule gave; what governed it is as recorded beside it."""
    read = override_read(by_hand.item, by_hand.field)
    empty: Mapping[str, Any] = {}
    reads = next((reason.reads for reason in proposal.trace if read in reason.reads), empty)
    value, exact = by_hand.rule_value, reads.get(RULE_UNROUNDED)
    two_sided = setpoint.low is not None and isinstance(value, int | float)
    return replace(
        setpoint,
        value=value,
        unrounded=value if exact is None else exact,
        low=-value if two_sided else None,
        governed_by=reads.get(RULE_GOVERNED_BY, _THE_RULE),
    )


def _told_by_hand(setpoint: Setpoint, by_hand: AppliedOverride) -> str:
    value = "nothing" if setpoint.value is None else with_unit(setpoint.value, setpoint.unit)
    both = "±" if setpoint.low is not None else ""
    rule = "where the rules propose none" if by_hand.rule_value is None else "in place of the rule's value"
    again = " To be confirmed again." if by_hand.state == "confirm again" else ""
    by = f"set by {by_hand.author} on {by_hand.at[:10]} {rule}: {by_hand.reason.rstrip('.')}."
    return f"In force: {both}{value}, {by}{again}"


def _inputs(proposal: Proposal, level: str, setpoint: Setpoint, setpoints: Setpoints) -> _Inputs | None:
    """Return the inputs of the reason that found the candidates: the one that read their criteria."""
    wanted = {candidate.criterion for candidate in setpoint.candidates}
    for index in setpoint.trace:
        reason = proposal.trace[index]
        if wanted.intersection({item.key for item in reason.criteria} | set(reason.reads)):
            return _Inputs(reason, level, setpoints)
    return None


def _line(candidate: Candidate, setpoint: Setpoint, inputs: _Inputs | None) -> WorkedLine:
    governs = candidate.criterion == setpoint.governed_by
    if candidate.value is None or inputs is None:
        needs = candidate.needs or ""
        return WorkedLine(candidate.criterion, "", "", "", None, candidate.unit, needs, governs)
    unit = _unit_of(candidate)
    make = _FORMULAS.get(candidate.criterion)
    formula = (
        make(inputs)
        if make
        else _Formula("value as it is", _n(_canonical(candidate)), _fixed(candidate, inputs))
    )
    value = _canonical(candidate)
    result = with_unit(value, unit, digits=_digits(value), detection=_DETECTED.get(unit, ""))
    if unit != candidate.unit:
        result += f" = {with_unit(candidate.value, candidate.unit, digits=_digits(candidate.value))}"
    return WorkedLine(
        candidate.criterion, formula.letters, formula.numbers, result, formula.value, unit, "", governs
    )


def _fixed(candidate: Candidate, inputs: _Inputs) -> float:
    """Return the value of a criterion or a fact that is a limit as it stands."""
    try:
        return inputs.criterion(candidate.criterion)
    except KeyError:
        return inputs.read(candidate.criterion)


def _known(setpoint: Setpoint | None) -> list[Candidate]:
    return [] if setpoint is None else [item for item in setpoint.candidates if item.value is not None]


def _unit_of(candidate: Candidate) -> str:
    if candidate.unit == "mil":
        return "mm" if candidate.criterion.startswith("axial.") else "um"
    return _CANONICAL.get(candidate.unit, candidate.unit)


def _canonical(candidate: Candidate) -> float:
    """Return a candidate's value in the unit its formula works in."""
    assert candidate.value is not None
    unit = _unit_of(candidate)
    return candidate.value if unit == candidate.unit else convert(candidate.value, candidate.unit, unit)


def _rounding(setpoint: Setpoint) -> str:
    if setpoint.value is None or setpoint.unrounded is None:
        return ""
    value = with_unit(setpoint.value, setpoint.unit)
    exact = with_unit(setpoint.unrounded, setpoint.unit, digits=_digits(setpoint.unrounded))
    both = f", {with_unit(setpoint.low, setpoint.unit)} on the other side" if setpoint.low is not None else ""
    if abs(setpoint.value - setpoint.unrounded) < _NOISE:
        return f"{setpoint.governed_by} governs: {value}{both}."
    return f"{setpoint.governed_by} governs: {exact}, rounded down to {value}{both}."
