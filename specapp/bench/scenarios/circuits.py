"""Events that are not of the machine: spikes, debris, broken circuits, cross-talk, lost supplies."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from specapp.bench.excitation import Excitation, Forced
from specapp.bench.filters import Signal
from specapp.bench.ground import LEAD_S, Ground
from specapp.bench.scenario import Case, Scenario, excitation, tail_s

__all__ = ["CROSS_TALK", "LOSS_OF_SIGNAL", "POWER_DIP", "SPIKES", "spikes"]

_PROBES = ("radial_vibration", "axial_position")
_ELEMENTS = ("bearing_temperature", "winding_temperature")
_SPIKE_V, _SPIKE_S, _SPIKE_EVERY_S = -5.0, 0.0006, 0.11
_DEBRIS_S, _DEBRIS_PASSES = 0.003, 5
_BREAK_EVERY_S, _BREAKS_S = 0.35, 2.0
_BEAT_HZ = 180.0
_OPEN, _SHORT = "open", "short"


def spikes(ground: Ground, count: int, from_s: float, burst_s: float) -> Signal:
    """Return one-sided electrical spikes at uneven times on every leg [V], shape (legs, count)."""
    random = ground.random("spikes")
    made = np.zeros((ground.legs, count), dtype=np.float32)
    length = max(1, round(_SPIKE_S * ground.rate_hz))
    time = from_s
    while time < from_s + burst_s:
        place = round(time * ground.rate_hz)
        made[:, place : place + length] = _SPIKE_V * random.uniform(0.7, 1.0)
        time += _SPIKE_EVERY_S * random.uniform(0.6, 1.4)
    return made


def _spikes(ground: Ground) -> Iterator[Case]:
    delay = ground.function.delay_s

    def burst(size: float) -> Excitation:
        seconds = LEAD_S + size + tail_s(ground) / 2
        still = ground.still(seconds)
        return excitation(ground, still, volts=spikes(ground, still.shape[1], LEAD_S, size))

    yield Case(
        "electrical spikes",
        "quiet",
        delay + 1.0,
        "s",
        f"{abs(_SPIKE_V):g} V spikes of {1000 * _SPIKE_S:g} ms, nine a second, one-sided, for",
        burst,
        ("spike_rejection", "delay"),
        bounds="high",
        most=(ground.settings.spike_hold_s + delay + 2) / (delay + 1),
    )
    if ground.function.quantity != "radial_vibration":
        return

    def debris(size: float) -> Excitation:
        seconds = LEAD_S + tail_s(ground) + 1.0
        signal = ground.still(seconds).copy()
        length = max(2, round(_DEBRIS_S * ground.rate_hz))
        bump = np.float32(-size) * np.sin(np.pi * np.arange(length) / length).astype(np.float32)
        for time in LEAD_S + np.sort(ground.random("debris").uniform(0, 0.8, _DEBRIS_PASSES)):
            place = round(time * ground.rate_hz)
            signal[0, place : place + length] += bump
        return excitation(ground, signal)

    yield Case(
        "debris",
        "quiet",
        150.0,
        "um",
        f"{_DEBRIS_PASSES} passes of debris before one tip within 0.8 s, each toward it by",
        debris,
        ("spike_rejection", "delay"),
        bounds="high",
    )


SPIKES = Scenario(
    "one_sided_spikes",
    "One-sided spikes and debris",
    "Electrical spikes to one side, longer in a row than the delay, and debris that passes the tip: neither "
    "alarm nor trip.",
    frozenset({"radial_vibration", "axial_position", "casing_vibration"}),
    _spikes,
)


def _lost_value(ground: Ground, how: str) -> float:
    """Return what the channel receives from a lost circuit: volts, or degC and rpm where it reads those."""
    quantity = ground.function.quantity
    if quantity in _PROBES:
        return 0.0 if how == _OPEN else ground.settings.supply_v
    if quantity == "casing_vibration":
        return 24.0 if how == _OPEN else 0.0
    if quantity == "overspeed":
        return 0.0
    return 850.0 if how == _OPEN else -200.0


def _loss(ground: Ground) -> Iterator[Case]:
    seconds = LEAD_S + tail_s(ground) + _BREAKS_S
    names = (_OPEN,) if ground.function.quantity == "overspeed" else (_OPEN, _SHORT)
    for how in names:

        def lost(size: float, how: str = how) -> Excitation:
            forced = Forced(0, LEAD_S, LEAD_S + size, _lost_value(ground, how))
            return excitation(ground, ground.still(seconds), forced=(forced,))

        yield Case(
            how,
            "alarm",
            round(seconds - LEAD_S, 2),
            "s",
            f"one leg {how} circuit for",
            lost,
            ("fault_confirm", "delay", "voting"),
            least=0.01,
        )
    least = 0.1 if ground.function.quantity in _ELEMENTS else 0.06

    def broken(size: float) -> Excitation:
        every = max(_BREAK_EVERY_S, 1.5 * size)
        starts = np.arange(LEAD_S, LEAD_S + _BREAKS_S, every)
        value = _lost_value(ground, _OPEN)
        forced = tuple(Forced(0, float(start), float(start) + size, value) for start in starts)
        return excitation(ground, ground.still(seconds), forced=forced)

    yield Case(
        "intermittent",
        "alarm",
        least,
        "s",
        f"one leg breaks again and again for {_BREAKS_S:g} s, each time for",
        broken,
        ("fault_confirm", "fault_return", "delay", "voting"),
        bounds="both",
        most=8.0,
    )


LOSS_OF_SIGNAL = Scenario(
    "loss_of_signal",
    "Loss of signal",
    "One leg is open, shorted, or breaks again and again: a circuit fault must be announced and the machine "
    "must not trip; the leg leaves the vote.",
    frozenset({*_PROBES, *_ELEMENTS, "casing_vibration", "overspeed"}),
    _loss,
)


def _cross_talk(ground: Ground) -> Iterator[Case]:
    smallest = ground.settings.smallest_change_um
    nominal = smallest if ground.function.spacing_passes else 4 * smallest
    seconds = LEAD_S + tail_s(ground)
    for name, still in (("running", ground.still(seconds)), ("at rest", ground.resting(seconds))):

        def build(size: float, still: Signal = still) -> Excitation:
            beat = ground.rotor(_BEAT_HZ, still.shape[1])
            return excitation(ground, still + np.float32(size / 2) * beat)

        yield Case(
            name,
            "quiet",
            nominal,
            "um p-p",
            f"oscillators {_BEAT_HZ:g} Hz apart beat, shaft {name}, with",
            build,
            ("spacing",),
            bounds="high",
        )


CROSS_TALK = Scenario(
    "cross_talk",
    "Cross-talk of two close oscillators",
    "Two tips too close hear each other and their frequencies beat: vibration shows, also with the shaft at "
    "rest. Taken as the smallest change worth setting on where the tip spacing passes, four times that "
    "where it does not or is "
    "not known (assumed). Neither alarm nor trip.",
    frozenset({"radial_vibration"}),
    _cross_talk,
    concerns=lambda function: len(function.points) == 2,
)


def _dip(ground: Ground) -> Iterator[Case]:
    # The circuits of an overspeed system share nothing, their supplies neither.
    legs = 1 if ground.function.quantity == "overspeed" else ground.legs

    def build(size: float) -> Excitation:
        seconds = LEAD_S + size + tail_s(ground)
        value = 0.0 if ground.function.quantity not in _ELEMENTS else _lost_value(ground, _OPEN)
        forced = tuple(Forced(leg, LEAD_S, LEAD_S + size, value) for leg in range(legs))
        return excitation(ground, ground.still(seconds), forced=forced)

    yield Case(
        "power dip",
        "alarm",
        0.2,
        "s",
        "the supply of one circuit is away for"
        if legs < ground.legs
        else "the supply of all transducers is away for",
        build,
        ("fault_return", "delay", "fault_confirm"),
        bounds="both",
        most=12.0,
    )


POWER_DIP = Scenario(
    "power_dip",
    "Power dip",
    "The supply of all transducers of the group is away for 0.2 s and comes back: the faults are announced, "
    "the machine runs on. A longer dip shows when two faulted legs trip.",
    frozenset({*_PROBES, *_ELEMENTS, "casing_vibration", "overspeed"}),
    _dip,
)
