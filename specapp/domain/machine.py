"""machine/1: what an engineer tells about one machine, as frozen types.

Every quantity is a plain float in the default unit of its field (speeds rpm, lengths mm, vibration um
peak to peak, power kW, temperatures degC, times h, ...); its range, kind and unit stand beside it and
make the JSON Schema, the form and the templates. What was not told is None (or an empty tuple or text):
missing is not zero, and the rules decide what is assumed.

`specapp.domain.reading.read_machine` makes these from JSON and checks fields against each other; a
description it returns always has the required fields, which is why they are typed as given here.
"""

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StrictBool,
    model_validator,
)

from specapp.domain.devices import Device
from specapp.domain.quantities import Quantity
from specapp.domain.scalars import Conductor, PlainValue, Table, Text, Whole, problem

FORMAT = "machine/1"
MOST_PINIONS = 5
MOST_STAGES = 10

Speed = Annotated[float, Quantity("speed", "rpm", 100, 200_000, example="1485 rpm")]
JournalDiameter = Annotated[float, Quantity("length", "mm", 10, 500, example="60 mm")]
Clearance = Annotated[float, Quantity("length", "mm", 0.005, 2.5, example="0.09 mm")]
AxialFloat = Annotated[float, Quantity("length", "mm", 0.01, 5, example="0.35 mm", us_unit="mil")]
Babbitt = Annotated[float, Quantity("length", "mm", 0.1, 10, example="0.76 mm", us_unit="mil")]
AxialClearance = Annotated[float, Quantity("length", "mm", 0, 20, True, example="0.6 mm", us_unit="mil")]
PartLength = Annotated[float, Quantity("length", "mm", 0, 1000, True, example="26 mm")]
Displacement = Annotated[float, Quantity("vibration", "um", 0, 500, True, example="9 um")]
Runout = Annotated[float, Quantity("vibration", "um", 0, 500, example="4 um")]
Velocity = Annotated[float, Quantity("velocity", "mm/s", 0, 100, True, example="0.8 mm/s")]
Angle = Annotated[float, Quantity("angle", "deg", 0, 360, exclusive_maximum=True, example="90 deg")]
Temperature = Annotated[float, Quantity("temperature", "degC", -100, 150, example="45 degC")]
Resistance = Annotated[float, Quantity("resistance", "ohm", 0, 100_000, example="250 ohm")]
CableRun = Annotated[float, Quantity("run", "m", 0, 10_000, True, example="180 m")]

Direction = Literal["active", "inactive"]
ServiceClass = Literal["process", "packaged_air"]
Criticality = Literal["critical", "essential", "general"]
Units = Literal["si", "us"]
Owner = Literal["machine_maker", "system_supplier", "installer", "purchaser", "existing"]

# A required field still has a default so that one pass finds every other problem too; reading reports
# it as missing. The schema lists it as required through `required` of the model's configuration.
_REQUIRED: Any = None


class _Told(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", hide_input_in_errors=True)


class BullGear(_Told):
    """The slow shaft in the middle, on two journal bearings B1 and B2."""

    speed: Speed | None = None
    minimum_speed: Speed | None = None
    teeth: Annotated[int, Whole(20, 2000)] | None = None
    rotation: Literal["clockwise", "counter_clockwise"] | None = None
    journal_diameter: JournalDiameter | None = None
    diametral_clearance: Clearance | None = None
    radial_bearings: Literal["fluid_film", "rolling"] | None = None
    thrust_bearing: StrictBool | None = None
    axial_float: AxialFloat | None = None
    babbitt: Babbitt | None = None
    impeller_axial_clearance: AxialClearance | None = None
    probe_looks_toward: Direction | None = None
    baseline_vibration: Displacement | None = None
    casing_baseline: Velocity | None = None


class Pinion(_Told):
    """One fast shaft, on two journal bearings P1-1 (towards the driver) and P1-2."""

    name: Annotated[str, Text(12, 2, r"P[A-Za-z0-9]+", "P, then letters or digits, up to 12 characters")] = ""
    maker_name: Annotated[str, Text(40)] = ""
    speed: Speed | None = None
    teeth: Annotated[int, Whole(8, 500)] | None = None
    trip_speed: Speed | None = None
    first_critical_speed: Speed | None = None
    amplification_factor: Annotated[float, Quantity("ratio", "1", 0.5, 100)] | None = None
    setpoint_multiplier: Annotated[float, Quantity("ratio", "1", 1, 3)] | None = None
    stages: Annotated[tuple[Annotated[int, Whole(1, MOST_STAGES)], ...], Field(max_length=2)] = ()
    stage_sides: Annotated[tuple[Annotated[int, Whole(1, 2)], ...], Field(max_length=2)] = ()
    impeller_blades: Annotated[tuple[Annotated[int, Whole(1, 200)], ...], Field(max_length=2)] = ()
    diffuser_vanes: Annotated[tuple[Annotated[int, Whole(1, 200)], ...], Field(max_length=2)] = ()
    expander_stages: Annotated[tuple[Annotated[int, Whole(1, MOST_STAGES)], ...], Field(max_length=2)] = ()
    position_angle: Angle | None = None
    centre_distance: Annotated[float, Quantity("length", "mm", 20, 10_000, example="420 mm")] | None = None
    role: Literal["driven", "input"] = "driven"
    journal_diameter: JournalDiameter | None = None
    diametral_clearance: Clearance | None = None
    axial_location: Literal["thrust_collar", "thrust_bearing", "mesh"] | None = None
    axial_float: AxialFloat | None = None
    babbitt: Babbitt | None = None
    impeller_axial_clearance: AxialClearance | None = None
    probe_looks_toward: Direction | None = None
    probe_target_diameter: Annotated[float, Quantity("length", "mm", 10, 1000, example="58 mm")] | None = None
    shaft_material: Annotated[str, Text(60)] = ""
    probe_side_clearance: PartLength | None = None
    probe_tip_spacing: PartLength | None = None
    track_width: PartLength | None = None
    measured_runout: Runout | None = None
    probe_location: Literal["bearing", "seal_housing"] | None = None
    seal: Annotated[str, Text(60)] = ""
    seal_pressure: Annotated[float, Quantity("pressure", "bar", -1, 1000, True, example="3 bar")] | None = (
        None
    )
    baseline_vibration: Displacement | None = None


class RollingBearing(_Told):
    """Geometry of a rolling bearing, for its defect frequencies."""

    balls: Annotated[int, Whole(3, 200)] | None = None
    ball_diameter: Annotated[float, Quantity("length", "mm", 0.5, 500, example="7.94 mm")] | None = None
    pitch_diameter: Annotated[float, Quantity("length", "mm", 2, 3000, example="39.04 mm")] | None = None
    contact_angle: (
        Annotated[float, Quantity("angle", "deg", 0, 90, exclusive_maximum=True, example="0 deg")] | None
    ) = None


DriverKind = Literal[
    "induction_motor", "synchronous_motor", "variable_speed_motor", "steam_turbine", "gas_turbine"
]


class Driver(_Told):
    """The prime mover, M; M1 is its non-drive end, M2 its drive end."""

    kind: DriverKind | None = None
    power: Annotated[float, Quantity("power", "kW", 1, 200_000, example="4.1 MW")] | None = None
    speed: Speed | None = None
    bearings: Literal["sleeve", "rolling"] | None = None
    temperature_rise: Literal["B", "F"] | None = None
    rolling_bearing: RollingBearing | None = None


class HazardousArea(_Told):
    """Classification of the area where the transducers stand; "unclassified" in JSON is a word alone."""

    unclassified: bool = Field(default=False, exclude=True)
    zone: Annotated[int, Whole(0, 2)] | None = None
    division: Annotated[int, Whole(1, 2)] | None = None
    gas_group: Literal["IIA", "IIB", "IIB+H2", "IIC", "A", "B", "C", "D"] | None = None
    temperature_class: (
        Literal["T1", "T2", "T3", "T4", "T5", "T6", "T2A", "T2B", "T2C", "T2D", "T3A", "T3B", "T3C", "T4A"]
        | None
    ) = None
    area_gases: Annotated[tuple[Annotated[str, Text(80, 1)], ...], Field(max_length=30)] = ()
    equipment_protection_level: Literal["Ga", "Gb", "Gc"] | None = None

    @model_validator(mode="before")
    @classmethod
    def _from_word(cls, raw: object) -> object:
        if isinstance(raw, str):
            if raw.strip() != "unclassified":
                raise problem('"unclassified", or an object with zone or division')
            return {"unclassified": True}
        if isinstance(raw, Mapping) and "unclassified" in raw:
            raise problem('"unclassified", or an object with zone or division')
        return raw


class Ambient(_Told):
    """Air temperatures at the machine."""

    minimum: Temperature | None = None
    maximum: Temperature | None = None


class Notch(_Told):
    """The mark in the shaft that gives the phase reference its pulse."""

    width: Annotated[float, Quantity("length", "mm", 0, 500, True, example="12 mm")] | None = None
    depth: Annotated[float, Quantity("length", "mm", 0, 50, True, example="1.5 mm")] | None = None
    events_per_turn: Annotated[int, Whole(1, 1000)] | None = None


class Installation(_Told):
    """How the measuring chains are built, where the engineer has decided it."""

    chain: Literal["monitor", "transmitter"] | None = None
    probe_angles: Literal["vertical_horizontal", "plus_minus_45"] | None = None
    protection: Literal["intrinsic_safety", "non_sparking", "flameproof", "none"] | None = None
    fault_groups_independent: StrictBool | None = None
    cable_run: CableRun | None = None
    conductor: Annotated[str, Conductor()] | None = None
    supply_voltage: Annotated[float, Quantity("voltage", "V", 1, 250, example="24 V")] | None = None
    loop_load: Resistance | None = None
    interface_resistance: Resistance | None = None
    probe_to_box: Annotated[float, Quantity("run", "m", 0, 100, True, example="3.5 m")] | None = None
    notch: Notch | None = None
    pulse_input_limit: (
        Annotated[float, Quantity("frequency", "Hz", 0, 10_000_000, True, example="10 kHz")] | None
    ) = None
    sample_rate: (
        Annotated[float, Quantity("frequency", "Hz", 0, 10_000_000, True, example="51.2 kHz")] | None
    ) = None


def _calculated_vote(raw: object) -> object:
    if isinstance(raw, str) and raw.strip().casefold() == "1oo2d":
        raise problem(
            "1oo1, 1oo2, 2oo2 or trip_with_alarm",
            "1oo2D is not calculated: it needs the efficiency of its comparison, and its editions differ",
        )
    return raw


RadialVote = Annotated[Literal["1oo1", "1oo2", "2oo2", "trip_with_alarm"], BeforeValidator(_calculated_vote)]


class Safety(_Told):
    """What the trips are asked to achieve.

    Additions of this project to machine/1: `full_test_interval`, of the test or overhaul that finds what a
    proof test of a coverage below 1 leaves; `radial_trip_voting_reason`, why the purchaser chose the vote;
    `xy_redundancy_justification`, why X and Y of a bearing, which measure components of one orbit, may count
    as two measurements of the same thing.
    """

    sil_target: Annotated[int, Whole(1, 4)] | None = None
    proof_test_interval: Annotated[float, Quantity("time", "h", 1, 438_000, example="2 year")] | None = None
    proof_test_coverage: Annotated[float, Quantity("ratio", "1", 0, 1, True)] | None = None
    full_test_interval: Annotated[float, Quantity("time", "h", 1, 438_000, example="10 year")] | None = None
    radial_trip_voting: RadialVote | None = None
    radial_trip_voting_reason: Annotated[str, Text(500)] = ""
    xy_redundancy_justification: Annotated[str, Text(500)] = ""


class Scope(_Told):
    """Who supplies each link of the measuring chain."""

    probe: Owner | None = None
    feed_through: Owner | None = None
    extension_cable: Owner | None = None
    oscillator_demodulator: Owner | None = None
    transmitter: Owner | None = None
    junction_box: Owner | None = None
    field_cable: Owner | None = None
    isolator: Owner | None = None
    monitor: Owner | None = None
    shutdown_system: Owner | None = None
    installation: Owner | None = None


class Source(_Told):
    """Where a value of the description comes from."""

    document: Annotated[str, Text(120)] = ""
    revision: Annotated[str, Text(40)] = ""
    page: Annotated[str, Text(40)] = ""
    state: Literal["quoted", "measured", "assumed", "confirmed"] | None = None


class CriterionOverride(_Told):
    """Another value for one criterion on this machine, in the criterion's unit, and why."""

    value: Annotated[float | str, PlainValue()] = _REQUIRED
    reason: Annotated[str, Text(500)] = ""


_TAG = Text(
    40, 1, r"[A-Za-z0-9 _./-]*[A-Za-z0-9][A-Za-z0-9 _./-]*", "1 to 40 letters, digits, spaces and - _ . /"
)
_TRAIN = Text(3, 1, r"[A-Za-z0-9]{1,3}", "1 to 3 letters or digits")


class MachineDescription(_Told):
    """One integrally geared compressor, or several identical ones (`trains`)."""

    format: Literal["machine/1"] = "machine/1"
    tag: Annotated[str, _TAG] = _REQUIRED
    trains: Annotated[tuple[Annotated[str, _TRAIN], ...], Field(max_length=26)] = ()
    title: Annotated[str, Text(200)] = ""
    service: Annotated[str, Text(200)] = ""
    site: Annotated[str, Text(200)] = ""
    service_class: ServiceClass = _REQUIRED
    criticality: Criticality | None = None
    setting_units: Units = "si"
    gases: Annotated[tuple[Annotated[str, Text(80, 1)], ...], Field(max_length=30)] = ()
    stage_count: Annotated[int, Whole(1, MOST_STAGES)] = _REQUIRED
    bull_gear: BullGear = BullGear()
    pinions: Annotated[tuple[Pinion, ...], Field(max_length=MOST_PINIONS)] = ()
    driver: Driver | None = None
    support: Literal["rigid", "flexible"] | None = None
    split_line: Literal["horizontal", "vertical", "unknown"] = "unknown"
    hazardous_area: HazardousArea = _REQUIRED
    ambient: Ambient = Ambient()
    installation: Installation = Installation()
    safety: Safety = Safety()
    scope: Scope = Scope()
    devices: Annotated[Mapping[str, Device], AfterValidator(Table)] = Field(default_factory=Table)
    sources: Annotated[Mapping[str, Source], AfterValidator(Table)] = Field(default_factory=Table)
    criteria: Annotated[Mapping[str, CriterionOverride], AfterValidator(Table)] = Field(default_factory=Table)


def input_pinion(machine: MachineDescription) -> Pinion | None:
    """Return the one pinion that the driver turns; None without one, or with several."""
    turned = [pinion for pinion in machine.pinions if pinion.role == "input"]
    return turned[0] if len(turned) == 1 else None


def _has_input_pinion(machine: MachineDescription) -> bool:
    return any(pinion.role == "input" for pinion in machine.pinions)


def resolved_bull_gear_speed_rpm(machine: MachineDescription) -> float | None:
    """Return the bull gear's speed, told or derived, None where it cannot be known.

    Told at the bull gear; else the driver's where it is coupled directly. Where the driver turns an input
    pinion instead, its speed is that pinion's, and the bull gear's follows from the two tooth counts.
    """
    if machine.bull_gear.speed is not None:
        return machine.bull_gear.speed
    driver_speed = machine.driver.speed if machine.driver is not None else None
    if not _has_input_pinion(machine):
        return driver_speed
    turned = input_pinion(machine)
    if turned is None or turned.teeth is None or machine.bull_gear.teeth is None:
        return None
    speed = turned.speed if turned.speed is not None else driver_speed
    return None if speed is None else speed * turned.teeth / machine.bull_gear.teeth


def resolved_pinion_speed_rpm(machine: MachineDescription, pinion: Pinion) -> float | None:
    """Return a pinion's speed: its own, else by the tooth ratio, else the driver's where it turns it."""
    if pinion.speed is not None:
        return pinion.speed
    bull = resolved_bull_gear_speed_rpm(machine)
    if bull is not None and pinion.teeth is not None and machine.bull_gear.teeth is not None:
        return bull * machine.bull_gear.teeth / pinion.teeth
    if pinion is input_pinion(machine) and machine.driver is not None:
        return machine.driver.speed
    return None


def bull_gear_speed_rpm(machine: MachineDescription) -> float:
    """Return the bull gear's speed [rpm] of a description that passed `read_machine`."""
    speed = resolved_bull_gear_speed_rpm(machine)
    if speed is None:
        raise ValueError("a description without a bull gear speed was not read by read_machine")
    return speed


def pinion_speeds_rpm(machine: MachineDescription) -> tuple[float, ...]:
    """Return the speed [rpm] of every pinion of a description that passed `read_machine`."""
    speeds = []
    for pinion in machine.pinions:
        speed = resolved_pinion_speed_rpm(machine, pinion)
        if speed is None:
            raise ValueError("a description without a pinion speed was not read by read_machine")
        speeds.append(speed)
    return tuple(speeds)
