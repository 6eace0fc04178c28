"""Process protection beside the measurement points: oil, temperatures, surge, seal gas."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import ProcessProtection
from specapp.rulebook.context import Context
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.facts import TURBINES
from specapp.rulebook.trace import Why
from specapp.rulebook.wiring import CONTROL_SYSTEM, MOTOR_RELAY, SHUTDOWN_SYSTEM

_BY_MAKER = "by the maker"
_TWO_OF_THREE = "2oo3"


def _line(
    ctx: Context,
    why: Why,
    key: str,
    text: str,
    *,
    alarm: str | None,
    trip: str | None = None,
    voting: str | None = None,
    acts_in: str | None = None,
) -> ProcessProtection:
    why.fact("service_class", ctx.machine.service_class)
    place = acts_in or (SHUTDOWN_SYSTEM if ctx.process and trip else CONTROL_SYSTEM)
    reason = why.say(f"{text}: alarm {alarm or 'none'}, trip {trip or 'none'}.")
    return ProcessProtection(key, text, alarm, trip, voting, place, (ctx.trace[reason],))


@rule(id="PRO-OIL-010", title="Lube oil", phase=Phase.CAUSE_AND_EFFECT)
def lube_oil(ctx: Context) -> Iterator[ProcessProtection]:
    """Journal bearings live on an oil film; without pressure they are gone within one run-down."""
    why = ctx.why()
    alarm = why.criterion("process_protection.oil_pressure_alarm")
    trip = why.criterion("process_protection.oil_pressure_trip")
    yield _line(
        ctx,
        why,
        "lube_oil_pressure_low",
        "Lube oil header pressure low",
        alarm=f"{alarm:g} % of header pressure",
        trip=f"{trip:g} % of header pressure",
        voting=_TWO_OF_THREE if ctx.process else None,
    )
    why = ctx.why()
    unit = ctx.units.temperature
    alarm = unit.of(why.criterion("process_protection.oil_temperature_alarm"))
    trip = unit.of(why.criterion("process_protection.oil_temperature_trip"))
    yield _line(
        ctx,
        why,
        "lube_oil_temperature_high",
        "Lube oil supply temperature high",
        alarm=f"{alarm:g} {unit.unit}",
        trip=f"{trip:g} {unit.unit}",
    )


@rule(
    id="PRO-AIR-010",
    title="Air and cooling temperatures",
    phase=Phase.CAUSE_AND_EFFECT,
    source="US federal guide specification for large centrifugal air compressors",
    edition="edition to be confirmed",
    status="published",
)
def air_and_cooling(ctx: Context) -> Iterator[ProcessProtection]:
    """A fouled cooler shows as heat in the next stage long before the machine surges on it."""
    if not ctx.process:
        yield _discharge_air(ctx)
    for key, text in (
        ("intercooler_temperature_high", "Air temperature after each intercooler high"),
        ("aftercooler_temperature_high", "Air temperature after the aftercooler high"),
        ("cooling_water_temperature_high", "Cooling water temperature high"),
    ):
        words = text.replace("Air", "Gas") if ctx.process else text
        yield _line(ctx, ctx.why(), key, words, alarm=_BY_MAKER)


def _discharge_air(ctx: Context) -> ProcessProtection:
    why = ctx.why()
    unit = ctx.units.temperature
    limit = unit.of(why.criterion("process_protection.discharge_air_temperature"))
    margin_k = why.criterion("process_protection.discharge_air_margin")
    value = f"{limit:g} {unit.unit}, or the maker's predicted value plus {margin_k:g} K once known"
    return _line(
        ctx, why, "discharge_air_temperature_high", "Discharge air temperature high", alarm=value, trip=value
    )


@rule(id="PRO-SRG-010", title="Surge and driver", phase=Phase.CAUSE_AND_EFFECT)
def surge_and_driver(ctx: Context) -> Iterator[ProcessProtection]:
    """Repeated surge breaks impellers and collars; unloading comes first, stopping second."""
    yield _line(
        ctx,
        ctx.why(),
        "surge",
        "Surge",
        alarm="unload on detection, by the surge control",
        trip="when surge goes on, count and time by the maker",
    )
    driver = ctx.machine.driver
    if driver is None or driver.kind not in TURBINES:
        why = ctx.why()
        why.fact("driver.kind", None if driver is None else driver.kind)
        yield _line(
            ctx,
            why,
            "motor_protection",
            "Motor protection: overcurrent, earth fault, unbalance, repeated starts",
            alarm=_BY_MAKER,
            trip=_BY_MAKER,
            acts_in=MOTOR_RELAY,
        )


@rule(id="PRO-GAS-010", title="Process machine", phase=Phase.CAUSE_AND_EFFECT)
def process_machine(ctx: Context) -> Iterator[ProcessProtection]:
    """Liquid in the suction, a lost seal or a hot stage hurts people and plant, not the compressor alone."""
    if not ctx.process:
        return
    for key, text, alarm, trip in (
        ("seal_gas", "Seal or buffer gas differential pressure low", _BY_MAKER, _BY_MAKER),
        (
            "suction_drum_level_high",
            "Suction drum liquid level high",
            "by the process design",
            "by the process design",
        ),
        (
            "stage_discharge_temperature_high",
            "Discharge temperature of each stage high",
            _BY_MAKER,
            _BY_MAKER,
        ),
    ):
        yield _line(ctx, ctx.why(), key, text, alarm=alarm, trip=trip)
