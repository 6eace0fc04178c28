"""The supply budget of a loop: what voltage is left at its device, and what would turn the answer.

A three-wire oscillator-demodulator is weighed at its own current, a two-wire transmitter at the current by
which it signals a fault, since a loop that cannot carry that current hides the fault.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from specapp.catalogue.loop_devices import placeholder
from specapp.domain.proposal import Check
from specapp.kernel.errors import OutOfRange
from specapp.kernel.loop_limits import (
    hottest_conductor_c,
    largest_load_ohm,
    longest_cable_for_bandwidth_m,
    longest_cable_for_supply_m,
    thinnest_conductor,
)
from specapp.kernel.loops import loop_resistance_ohm, loop_voltage_v
from specapp.rulebook.loop_types import Given, LoopFacts, LoopType

# What a budget reads besides facts, by criterion key.
BUDGET_CRITERIA = ("loop.fault_high", "cable.conductor_temperature")
_NONE = Given(0.0, "rule", "")
_SIZE_NOT_TOLD = "1.0 mm2"


@dataclass(frozen=True, slots=True)
class SupplyBudget:
    """Voltage left at the device of a loop, with everything it was worked out from.

    ``supply``, ``minimum``, ``current``, ``interface`` and ``load`` carry their origin: where one of them is
    a placeholder, or the run or conductor is not told, ``missing`` names the facts and the figures are an
    illustration. ``cable_ohm`` and ``voltage_v`` are None without a run. Voltages are without their sign.
    """

    loop: LoopType
    supply: Given
    minimum: Given
    current: Given
    interface: Given
    load: Given
    run_m: float | None
    conductor: str
    temperature: Given
    cable_ohm: float | None
    voltage_v: float | None
    missing: tuple[str, ...]

    @property
    def works(self) -> bool | None:
        """Whether the device has its voltage; None while a fact is missing."""
        if self.missing or self.voltage_v is None:
            return None
        return self.voltage_v >= self.minimum.value - 1e-9

    @property
    def limits(self) -> SupplyLimits:
        """What would turn the answer, each with everything else as it is."""
        supply_v, current_ma, least_v = self.supply.value, self.current.value, self.minimum.value
        interface, load, hot_c = self.interface.value, self.load.value, self.temperature.value
        try:
            cable_may_ohm = largest_load_ohm(supply_v, current_ma, least_v, [interface, load])
        except OutOfRange:
            return SupplyLimits(None, self._largest_load_ohm(), None, None)
        longest_m = longest_cable_for_supply_m(
            supply_v, current_ma, least_v, [interface, load], self.conductor, hot_c
        )
        thinnest = hottest_c = None
        if self.run_m is not None:
            try:
                thinnest = thinnest_conductor(cable_may_ohm, self.run_m, hot_c)
            except OutOfRange:
                thinnest = None
            hottest_c = hottest_conductor_c(cable_may_ohm, self.run_m, self.conductor)
        return SupplyLimits(longest_m, self._largest_load_ohm(), thinnest, hottest_c)

    def _largest_load_ohm(self) -> float | None:
        others = [self.interface.value, self.cable_ohm or 0.0]
        try:
            return largest_load_ohm(self.supply.value, self.current.value, self.minimum.value, others)
        except OutOfRange:
            return None


@dataclass(frozen=True, slots=True)
class SupplyLimits:
    """The longest cable [m], largest load [ohm], thinnest conductor and hottest conductor [degC] that work.

    None: nothing of it helps, or the run is not told. A hottest conductor above what the insulation bears is
    no limit.
    """

    longest_cable_m: float | None
    largest_load_ohm: float | None
    thinnest_conductor: str | None
    hottest_conductor_c: float | None


def has_supply_budget(loop: LoopType) -> bool:
    """Tell whether a kind of loop is fed through its cable with a voltage that may fall short."""
    return loop.key in ("oscillator_demodulator", "transmitter", "velocity_transmitter")


def supply_budget(
    loop: LoopType, facts: LoopFacts, criteria: Mapping[str, float], *, isolated: bool
) -> SupplyBudget:
    """Return the budget of a kind of loop.

    Parameters
    ----------
    loop : LoopType
        One for which `has_supply_budget` holds.
    facts : LoopFacts
        What was told.
    criteria : mapping of str to float
        Values in force of `BUDGET_CRITERIA`.
    isolated : bool
        Whether an isolator or barrier stands in the loop.
    """
    supply = _supply(loop, facts, isolated=isolated)
    minimum = facts.figure(loop.device, "minimum_voltage_v") or _NONE
    if loop.is_current_loop:
        current = Given(criteria["loop.fault_high"], "rule", "loop.fault_high")
        path = "installation.loop_load"
        stand_in = placeholder("control_system", "load_ohm")
        assert stand_in is not None, "no placeholder load"
        told = facts.load_ohm
        load = Given(stand_in, "placeholder", path) if told is None else Given(told, "told", path)
    else:
        current = facts.figure(loop.device, "current_ma") or _NONE
        load = _NONE
    interface = _interface(facts, isolated=isolated)
    if facts.ambient_maximum_c is not None:
        temperature = Given(facts.ambient_maximum_c, "told", "ambient.maximum")
    else:
        key = "cable.conductor_temperature"
        temperature = Given(criteria[key], "fallback", key)
    missing = [each.path for each in (supply, minimum, current, interface, load) if _stands_in(each)]
    if facts.run_m is None:
        missing.append("installation.cable_run")
    if facts.conductor is None:
        missing.append("installation.conductor")
    conductor = facts.conductor or _SIZE_NOT_TOLD
    cable_ohm = voltage_v = None
    if facts.run_m is not None:
        cable_ohm = loop_resistance_ohm(facts.run_m, conductor, temperature.value)
        voltage_v = loop_voltage_v(supply.value, current.value, [interface.value, cable_ohm, load.value])
    return SupplyBudget(
        loop,
        supply,
        minimum,
        current,
        interface,
        load,
        facts.run_m,
        conductor,
        temperature,
        cable_ohm,
        voltage_v,
        tuple(missing),
    )


def _stands_in(given: Given) -> bool:
    return given.origin == "placeholder"


def _supply(loop: LoopType, facts: LoopFacts, *, isolated: bool) -> Given:
    """Return the least supply voltage: of the isolator, else of the feeding device, else told at large."""
    feeders = ("isolator", loop.fed_by) if isolated else (loop.fed_by,)
    found = [facts.figure(device, "supply_minimum_v") for device in feeders]
    told = [each for each in found if each is not None and each.origin == "told"]
    if told:
        return told[0]
    if facts.supply_v is not None:
        return Given(facts.supply_v, "told", "installation.supply_voltage")
    stand_in = found[-1]
    assert stand_in is not None, f"no placeholder supply for {loop.fed_by}"
    return Given(stand_in.value, "placeholder", "installation.supply_voltage")


def _interface(facts: LoopFacts, *, isolated: bool) -> Given:
    """Return what an isolator or barrier puts in series; without one, what was told of the interface."""
    if isolated:
        found = facts.figure("isolator", "series_resistance_ohm")
        if found is not None and found.origin == "told":
            return found
    path = "installation.interface_resistance"
    if facts.interface_ohm is not None:
        return Given(facts.interface_ohm, "told", path)
    if isolated and found is not None:
        return Given(found.value, "placeholder", path)
    return _NONE


@dataclass(frozen=True, slots=True)
class BandwidthLimit:
    """The longest cable [m] that passes the widest band asked of a kind of loop within 5 percent."""

    longest_cable_m: float
    needed_hz: float
    source_ohm: float
    cable_pf_per_m: float


def longest_for_bandwidth(
    checks: Iterable[Check], facts: LoopFacts, loop: LoopType, criteria: Mapping[str, float]
) -> BandwidthLimit | None:
    """Return the limit by the bands that the bandwidth check asks; None where it could not be evaluated."""
    groups = {point.voting_group for point in loop.points}
    needed = [
        check.limit.value
        for check in checks
        if check.check == "cable.bandwidth" and check.subject in groups and check.limit is not None
    ]
    if not needed or facts.interface_ohm is None or facts.conductor is None:
        return None
    pf_per_m = criteria["cable.capacitance"]
    source_ohm = facts.interface_ohm + (facts.text(loop.device, "output_resistance_ohm") or 0.0)
    length_m = longest_cable_for_bandwidth_m(source_ohm, pf_per_m, max(needed), facts.conductor)
    return BandwidthLimit(length_m, max(needed), source_ohm, pf_per_m)
