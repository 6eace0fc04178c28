"""Which single setting would mend a failure: tried on the bench, one after another."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Final, NamedTuple

from specapp.bench.functions import Function
from specapp.bench.ground import Ground
from specapp.bench.result import Mend
from specapp.bench.scenario import Case, Scenario
from specapp.bench.settings import DeviceSettings
from specapp.bench.trial import judged, tried

__all__ = ["mends"]

_DELAYS_S: Final = (0.0, 0.5, 1.0, 2.0, 3.0, 5.0)
_FACTORS: Final = (1.5, 2.0, 3.0)
_RATIOS: Final = (5.0, 10.0)
_TIME_OUT_S: Final = 30.0


class _Change(NamedTuple):
    setting: str
    now: str
    then: str
    function: Function
    settings: DeviceSettings


def mends(ground: Ground, scenario: Scenario, case: Case, step: Scenario, seed: int) -> tuple[Mend, ...]:
    """Return the settings of which one change makes the case come right, the smallest change of each.

    Each is held against the plain step as well, so that no failure is mended by a trip that no longer trips.
    """
    found = []
    for name in case.mends:
        for change in _CHANGES[name](ground.function, ground.settings):
            if change.function == ground.function and change.settings == ground.settings:
                continue
            changed = Ground(change.function, change.settings, seed)
            again = _same(changed, scenario, case)
            if again is None or judged(again, tried(changed, again, again.nominal)) != "as_it_should":
                continue
            plain = next(iter(step.cases(changed)))
            trips = judged(plain, tried(changed, plain, plain.nominal)) == "as_it_should"
            found.append(Mend(change.setting, change.now, change.then, trips))
            break
    return tuple(found)


def _same(ground: Ground, scenario: Scenario, case: Case) -> Case | None:
    """Return the case as it is with the changed settings, of the size that was judged."""
    again = next((each for each in scenario.cases(ground) if each.name == case.name), None)
    if again is None or not {"calibration", "spacing"}.isdisjoint(case.mends):
        return again
    return replace(again, nominal=case.nominal)


def _delay(function: Function, settings: DeviceSettings) -> Iterator[_Change]:
    for delay in sorted(_DELAYS_S, key=lambda each: abs(each - function.delay_s)):
        if delay != function.delay_s:
            changed = replace(function, delay_s=delay)
            yield _Change("delay", f"{function.delay_s:g} s", f"{delay:g} s", changed, settings)


def _rejection(function: Function, settings: DeviceSettings) -> Iterator[_Change]:
    words = ("off", "on")
    other = not settings.spike_rejection
    changed = replace(settings, spike_rejection=other)
    yield _Change("spike rejection", words[not other], words[other], function, changed)


def _ratio(function: Function, settings: DeviceSettings) -> Iterator[_Change]:
    for ratio in _RATIOS:
        changed = replace(settings, spike_ratio=ratio)
        yield _Change("spike ratio", f"{settings.spike_ratio:g}", f"{ratio:g}", function, changed)


def _multiplier(function: Function, settings: DeviceSettings) -> Iterator[_Change]:
    now = f"x{function.multiplier:g}" if function.multiplier > 1 else "none"
    for factor in _FACTORS:
        if factor > function.multiplier:
            changed = replace(function, multiplier=factor, multiplier_time_s=_TIME_OUT_S)
            yield _Change("setpoint multiplier while starting", now, f"x{factor:g}", changed, settings)


def _voting(function: Function, settings: DeviceSettings) -> Iterator[_Change]:
    if len(function.points) != 2 or function.trip is None:
        return
    for vote, asking in (("1oo2", 1), ("2oo2", 2)):
        if vote != function.voting:
            changed = replace(function, voting=vote, must_ask=asking)
            yield _Change("trip voting", function.voting or "none", vote, changed, settings)


def _faults_trip(function: Function, settings: DeviceSettings) -> Iterator[_Change]:
    legs = len(function.points)
    if function.trip is not None and function.faults_trip is None:
        changed = replace(function, faults_trip=legs)
        yield _Change("faulted legs that trip", "none", f"{legs} of {legs}", changed, settings)


def _sampling(function: Function, settings: DeviceSettings) -> Iterator[_Change]:
    now = settings.sample_rate_hz
    if now is None:
        return
    for times in (1.5, 2.0, 3.0, 5.0, 10.0, 20.0):
        changed = replace(settings, sample_rate_hz=now * times)
        yield _Change("sampling rate", f"{now:g} Hz", f"{now * times:g} Hz", function, changed)


def _anti_alias(function: Function, settings: DeviceSettings) -> Iterator[_Change]:
    yield _Change(
        "low-pass before the sampler", "absent", "there", function, replace(settings, anti_alias=True)
    )


def _one(name: str, words: str, values: tuple[float, ...]) -> Callable[..., Iterator[_Change]]:
    def changes(function: Function, settings: DeviceSettings) -> Iterator[_Change]:
        now = float(getattr(settings, name))
        for value in values:
            changed = replace(settings, **{name: value})  # type: ignore[arg-type]
            yield _Change(words, f"{now:g} s", f"{value:g} s", function, changed)

    return changes


def _calibration(function: Function, settings: DeviceSettings) -> Iterator[_Change]:
    changed = replace(settings, scale_error_percent=5.0)
    now = "as specified" if function.material_known else "another or an unknown alloy"
    yield _Change(
        "calibration",
        now,
        "the shaft's own material, within 5 percent",
        replace(function, material_known=True),
        changed,
    )


def _spacing(function: Function, settings: DeviceSettings) -> Iterator[_Change]:
    yield _Change(
        "tip spacing",
        "too close or unknown",
        "as the check asks",
        replace(function, spacing_passes=True),
        settings,
    )


_CHANGES: Final[Mapping[str, Callable[[Function, DeviceSettings], Iterator[_Change]]]] = {
    "delay": _delay,
    "spike_rejection": _rejection,
    "spike_ratio": _ratio,
    "multiplier": _multiplier,
    "voting": _voting,
    "faults_trip": _faults_trip,
    "sample_rate": _sampling,
    "anti_alias": _anti_alias,
    "detector_window": _one("detector_window_s", "time the detector looks back", (0.5, 1.0, 0.1)),
    "fault_confirm": _one("fault_confirm_s", "time until a circuit fault counts", (0.003, 0.0, 0.1, 0.5)),
    "fault_return": _one("fault_return_s", "time out of the vote after a fault", (5.0, 10.0, 1.0, 0.5)),
    "calibration": _calibration,
    "spacing": _spacing,
}
