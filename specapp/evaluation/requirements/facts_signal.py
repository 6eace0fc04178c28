"""Facts of signals, ranges and setpoints: the highest or tightest figure of the machines."""

from __future__ import annotations

from specapp.domain.display import number_text
from specapp.evaluation.requirements.asked import Asked, Fact, fact, measured
from specapp.kernel.units import convert


@fact
def scale_factor(asked: Asked) -> Fact:
    return measured(asked.criterion("probe.scale_factor"), "V/mm")


def _scale_limit(asked: Asked, sign: int) -> float | None:
    nominal, error = (
        asked.criterion("probe.scale_factor"),
        asked.lowest_criterion("probe.scale_error_testing"),
    )
    return None if nominal is None or error is None else round(nominal * (1 + sign * error / 100), 4)


@fact
def scale_factor_low(asked: Asked) -> Fact:
    return _scale_limit(asked, -1)


@fact
def scale_factor_high(asked: Asked) -> Fact:
    return _scale_limit(asked, 1)


@fact
def scale_error(asked: Asked) -> Fact:
    return asked.lowest_criterion("probe.scale_error_testing")


@fact
def straight_line_um(asked: Asked) -> Fact:
    return asked.lowest_criterion("probe.straight_line_testing")


@fact
def straight_line(asked: Asked) -> Fact:
    return measured(asked.lowest_criterion("probe.straight_line_testing"), "um")


@fact
def shaft_materials(asked: Asked) -> Fact:
    told = {
        str(pinion["shaft_material"])
        for proposal in asked.proposals
        for pinion in proposal.machine.get("pinions", ())
        if pinion.get("shaft_material")
    }
    return ", ".join(sorted(told)) or "not told yet: to be asked of the machine maker"


@fact
def linear_range_mm(asked: Asked) -> Fact:
    return asked.criterion("probe.linear_range")


@fact
def linear_range(asked: Asked) -> Fact:
    return measured(asked.criterion("probe.linear_range"), "mm")


def _fastest_hz(asked: Asked) -> float:
    speeds = [
        shaft.rotation_frequency.value
        for proposal in asked.proposals
        for shaft in proposal.shafts
        if shaft.rotation_frequency is not None
    ]
    return max(speeds, default=0.0)


@fact
def radial_band_hz(asked: Asked) -> Fact:
    floor = asked.criterion("radial.band_high") or 0.0
    orders = asked.criterion("radial.band_orders") or 4.0
    return round(max(floor, orders * _fastest_hz(asked))) or None


@fact
def radial_band(asked: Asked) -> Fact:
    value = radial_band_hz(asked)
    return measured(value, "Hz") if isinstance(value, int | float) else None


@fact
def radial_low_band_hz(asked: Asked) -> Fact:
    return asked.lowest_criterion("radial.band_low")


@fact
def radial_low_band(asked: Asked) -> Fact:
    return measured(asked.lowest_criterion("radial.band_low"), "Hz")


def _mesh_hz(asked: Asked) -> float | None:
    found = [
        line.frequency.value
        for proposal in asked.proposals
        for line in proposal.frequencies
        if line.kind == "gear_mesh"
    ]
    return max(found) if found else None


@fact
def accelerometer_band_hz(asked: Asked) -> Fact:
    mesh, orders = _mesh_hz(asked), asked.criterion("accelerometer.band_orders")
    if mesh is None or orders is None or not asked.points("casing_vibration"):
        return None
    highest = asked.criterion("accelerometer.high_band") or mesh * orders
    return float(round(min(mesh * orders, highest)))


@fact
def accelerometer_band(asked: Asked) -> Fact:
    value = accelerometer_band_hz(asked)
    return measured(value, "Hz") if isinstance(value, float) else None


@fact
def mesh(asked: Asked) -> Fact:
    value = _mesh_hz(asked)
    return None if value is None else measured(round(value), "Hz")


@fact
def sample_rate_khz(asked: Asked) -> Fact:
    """20 samples a turn, and 2.56 times the upper frequency; the higher of the two."""
    band = radial_band_hz(asked)
    turns = (asked.criterion("radial.samples_per_turn") or 20.0) * _fastest_hz(asked)
    top = (asked.criterion("radial.sample_rate_factor") or 2.56) * (
        band if isinstance(band, int | float) else 0
    )
    return round(max(turns, top) / 1000, 2) or None


@fact
def sample_rate(asked: Asked) -> Fact:
    value = sample_rate_khz(asked)
    return measured(value, "kHz") if isinstance(value, int | float) else None


@fact
def runout_um(asked: Asked) -> Fact:
    """The tightest allowance of any rotor: max(share of its acceptance limit, the floor)."""
    share, floor = asked.lowest_criterion("probe.runout_share"), asked.lowest_criterion("probe.runout_floor")
    limits = [
        shaft.acceptance_limit.value
        if shaft.acceptance_limit.unit == "um"
        else convert(shaft.acceptance_limit.value, shaft.acceptance_limit.unit, "um")
        for proposal in asked.proposals
        for shaft in proposal.shafts
        if shaft.acceptance_limit is not None
    ]
    if share is None or floor is None or not limits:
        return None
    return round(max(share * min(limits), floor), 2)


@fact
def runout(asked: Asked) -> Fact:
    value = runout_um(asked)
    return measured(value, "um") if isinstance(value, float) else None


@fact
def pulse_rate_hz(asked: Asked) -> Fact:
    return float(round(_fastest_hz(asked))) or None


@fact
def pulse_rate(asked: Asked) -> Fact:
    return measured(round(_fastest_hz(asked)), "Hz")


@fact
def pulse_height(asked: Asked) -> Fact:
    return measured(asked.criterion("pulse.height") or 6.0, "V")


# Ranges and setpoints


@fact
def has_multiplier(asked: Asked) -> Fact:
    return any(point.multiplier is not None for point in asked.points())


@fact
def multiplier(asked: Asked) -> Fact:
    factors = [point.multiplier.factor for point in asked.points() if point.multiplier is not None]
    return max(factors) if factors else None


@fact
def multiplied_share(asked: Asked) -> Fact:
    share = asked.lowest_criterion("range.multiplied_trip_share")
    return None if share is None else round(100 * share, 1)


def _delays_s(asked: Asked) -> list[float]:
    return [
        setpoint.delay.value
        for point in asked.points()
        for setpoint in (point.setpoints.alarm, point.setpoints.trip)
        if setpoint is not None and setpoint.delay is not None
    ]


@fact
def delay_low_s(asked: Asked) -> Fact:
    return min([1.0, *(each for each in _delays_s(asked) if each > 0)])


@fact
def delay_high_s(asked: Asked) -> Fact:
    return max([10.0, *_delays_s(asked)])


@fact
def delay_low(asked: Asked) -> Fact:
    value = delay_low_s(asked)
    return f"{value:g} s"


@fact
def delay_high(asked: Asked) -> Fact:
    value = delay_high_s(asked)
    return f"{value:g} s"


@fact
def temperature_rate(asked: Asked) -> Fact:
    rate = asked.lowest_criterion("temperature.rate_limit")
    return None if rate is None else f"{number_text(rate)} K/s"
