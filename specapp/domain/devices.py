"""The devices of the measuring and trip chains of machine/1: what their makers' papers say.

An addition of this project to machine/1: `devices` maps the kind of a device to its data, because all
devices of one kind on one machine are bought alike. Every field is optional, missing is not zero, and
the rules fall back on placeholders marked so, or leave an open point. Field names carry the unit of a bare
number; a text with another unit of the same kind is converted.
"""

from collections.abc import Mapping
from typing import Annotated, Final, Literal, get_args

from pydantic import BaseModel, ConfigDict

from specapp.domain.display import typed_number
from specapp.domain.findings import Findings
from specapp.domain.problems import alternatives
from specapp.domain.quantities import Quantity
from specapp.domain.scalars import Text

DeviceName = Literal[
    "probe",
    "oscillator_demodulator",
    "transmitter",
    "accelerometer",
    "velocity_sensor",
    "resistance_thermometer",
    "speed_sensor",
    "isolator",
    "monitor_module",
    "relay",
    "shutdown_logic",
    "overspeed_logic",
    "control_system",
    "driver_breaker",
    "trip_valve",
    "motor_relay",
]
DEVICE_NAMES: Final[tuple[str, ...]] = get_args(DeviceName)
RATES: Final = (
    "dangerous_undetected_per_h",
    "dangerous_detected_per_h",
    "safe_detected_per_h",
    "safe_undetected_per_h",
)

Rate = Annotated[float, Quantity("rate", "1/h", 0, 0.01, example="3e-7 1/h")]
Share = Annotated[float, Quantity("ratio", "1", 0, 1, example="0.05")]
RepairTime = Annotated[float, Quantity("time", "h", 0, 8760, example="8 h")]
Volts = Annotated[float, Quantity("voltage", "V", 0, 250, True, example="28 V")]
Milliamps = Annotated[float, Quantity("current", "mA", 0, 10_000, True, example="93 mA")]
Watts = Annotated[float, Quantity("power", "W", 0, 1000, True, example="0.65 W")]
Nanofarads = Annotated[float, Quantity("capacitance", "nF", 0, 1_000_000, example="83 nF")]
Resistance = Annotated[float, Quantity("resistance", "ohm", 0, 100_000, example="340 ohm")]
AmbientLimit = Annotated[float, Quantity("temperature", "degC", -200, 300, example="60 degC")]


class Device(BaseModel):
    """One kind of device: failure data, entity values, loop data, marking, permitted air temperatures.

    Failure rates are those of one device, per hour. `ui_v` to `li_uh` are what an apparatus may be given,
    `uo_v` to `lo_ro_uh_per_ohm` what an associated apparatus gives (IEC 60079-11's letters, from memory).
    """

    model_config = ConfigDict(frozen=True, extra="forbid", hide_input_in_errors=True)

    dangerous_undetected_per_h: Rate | None = None
    dangerous_detected_per_h: Rate | None = None
    safe_detected_per_h: Rate | None = None
    safe_undetected_per_h: Rate | None = None
    component_type: Literal["A", "B"] | None = None
    beta: Share | None = None
    beta_detected: Share | None = None
    repair_time: RepairTime | None = None
    restoration_time: RepairTime | None = None
    failure_data_source: Annotated[str, Text(200)] = ""

    ui_v: Volts | None = None
    ii_ma: Milliamps | None = None
    pi_w: Watts | None = None
    ci_nf: Nanofarads | None = None
    li_uh: Annotated[float, Quantity("inductance", "uH", 0, 1_000_000, example="10 uH")] | None = None
    uo_v: Volts | None = None
    io_ma: Milliamps | None = None
    po_w: Watts | None = None
    co_nf: Nanofarads | None = None
    lo_mh: Annotated[float, Quantity("inductance", "mH", 0, 100_000, example="4.2 mH")] | None = None
    lo_ro_uh_per_ohm: (
        Annotated[float, Quantity("inductance_ratio", "uH/ohm", 0, 100_000, True, example="54 uH/ohm")] | None
    ) = None

    minimum_voltage_v: Volts | None = None
    current_ma: Milliamps | None = None
    output_resistance_ohm: Resistance | None = None
    series_resistance_ohm: Resistance | None = None
    supply_minimum_v: Volts | None = None
    scale: Annotated[float, Quantity("sensitivity", "mV/um", 0, 1000, True, example="7.87 mV/um")] | None = (
        None
    )

    marking: Annotated[str, Text(120)] = ""
    ambient_minimum: AmbientLimit | None = None
    ambient_maximum: AmbientLimit | None = None


def check_devices(devices: Mapping[str, Device], findings: Findings) -> None:
    """Report what is wrong between the fields of the devices, and keys that name no device."""
    for name, device in devices.items():
        place = ("devices", name)
        if name not in DEVICE_NAMES:
            close = alternatives(name, DEVICE_NAMES)
            hint = f"did you mean {close}?" if close else ""
            findings.add(place, ", ".join(DEVICE_NAMES), found="no such device", message=hint)
            continue
        rates = [getattr(device, rate) for rate in RATES]
        told = [rate for rate in rates if rate is not None]
        if told and not device.failure_data_source:
            findings.add(
                (*place, "failure_data_source"),
                "where the failure rates come from, in words",
                message="a rate without its source is a basis of nothing",
            )
        if len(told) == len(rates) and not sum(told):
            findings.add((*place, RATES[0]), "rates of which at least one is above 0; no device never fails")
        low, high = device.ambient_minimum, device.ambient_maximum
        if low is not None and high is not None and low > high:
            findings.add((*place, "ambient_minimum"), f"at most the maximum, {typed_number(high)} degC")
