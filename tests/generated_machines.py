"""Machines made up by hypothesis: any of them is valid, few of them are sensible."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

CLASSES = st.sampled_from(["process", "packaged_air"])


def _maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.one_of(st.none(), strategy)


def _mm(low: float, high: float) -> st.SearchStrategy[Any]:
    return _maybe(st.floats(low, high).map(lambda value: round(value, 3)))


@st.composite
def pinions(draw: st.DrawFn, bull_rpm: float, count: int) -> list[dict[str, Any]]:
    """Return pinions without stages, journals and clearances in step with each other."""
    made = []
    for _ in range(count):
        journal = draw(_mm(20, 150))
        clearance = None
        if journal is not None and draw(st.booleans()):
            clearance = round(journal * draw(st.floats(0.6, 4.5)) / 1000, 4)
        float_mm = draw(_mm(0.1, 0.6))
        speed = round(bull_rpm * draw(st.floats(1.5, 30)), 1)
        made.append(
            {
                "speed": min(speed, 190_000.0),
                "journal_diameter": journal,
                "diametral_clearance": clearance,
                "axial_float": float_mm,
                "babbitt": draw(_mm(0.2, 2)),
                "impeller_axial_clearance": draw(_mm(0.75, 2)),
                "axial_location": draw(_maybe(st.sampled_from(["thrust_collar", "thrust_bearing", "mesh"]))),
                "probe_looks_toward": draw(_maybe(st.sampled_from(["active", "inactive"]))),
                "first_critical_speed": draw(_maybe(st.floats(1000, 40000))),
                "amplification_factor": draw(_maybe(st.floats(1, 8))),
                "setpoint_multiplier": draw(_maybe(st.sampled_from([1, 1.5, 2, 3]))),
                "baseline_vibration": draw(_maybe(st.floats(1, 20))),
                "probe_location": draw(_maybe(st.sampled_from(["bearing", "seal_housing"]))),
                "position_angle": draw(_maybe(st.sampled_from([0, 45, 90, 180, 270]))),
            }
        )
    return [{key: value for key, value in each.items() if value is not None} for each in made]


DRIVERS = st.fixed_dictionaries(
    {
        "kind": st.sampled_from(
            ["induction_motor", "synchronous_motor", "variable_speed_motor", "steam_turbine", "gas_turbine"]
        )
    },
    optional={
        "power": st.floats(50, 30_000),
        "bearings": st.sampled_from(["sleeve", "rolling"]),
        "temperature_rise": st.sampled_from(["B", "F"]),
    },
)
AREAS = st.sampled_from(
    [
        "unclassified",
        {"zone": 0, "gas_group": "IIC", "temperature_class": "T1"},
        {"zone": 1, "gas_group": "IIB", "temperature_class": "T3"},
        {"zone": 2, "area_gases": ["hydrogen", "methane"]},
        {"division": 1, "gas_group": "B", "temperature_class": "T3C"},
        {"division": 2, "gas_group": "C", "temperature_class": "T3"},
    ]
)
INSTALLATIONS = st.fixed_dictionaries(
    {},
    optional={
        "chain": st.sampled_from(["monitor", "transmitter"]),
        "probe_angles": st.sampled_from(["vertical_horizontal", "plus_minus_45"]),
        "protection": st.sampled_from(["intrinsic_safety", "non_sparking", "flameproof", "none"]),
        "fault_groups_independent": st.booleans(),
        "cable_run": st.floats(5, 400),
        "probe_to_box": st.floats(0.5, 12),
        "interface_resistance": st.floats(0, 400),
    },
)


@st.composite
def machines(draw: st.DrawFn) -> dict[str, Any]:
    """Return a valid machine/1 document."""
    service_class = draw(CLASSES)
    bull_rpm = round(draw(st.floats(750, 6000)), 1)
    count = draw(st.integers(1, 5))
    stage_count = draw(st.integers(count, 2 * count))
    bull_gear: dict[str, Any] = {"speed": bull_rpm}
    if draw(st.booleans()):
        bull_gear |= {"journal_diameter": 160, "axial_float": 0.4, "rotation": "clockwise"}
    if draw(st.booleans()):
        bull_gear["radial_bearings"] = draw(st.sampled_from(["fluid_film", "rolling"]))
    machine = {
        "tag": draw(st.sampled_from(["K-4410", "C 12", "21-K-0001", "COMPRESSOR", "7", "A.B/C_d-9"])),
        "service_class": service_class,
        "criticality": draw(_maybe(st.sampled_from(["critical", "essential", "general"]))),
        "setting_units": draw(st.sampled_from(["si", "us"])),
        "trains": draw(st.sampled_from([[], ["A", "B"], ["A", "B", "C"]])),
        "gases": draw(st.sampled_from([[], ["air"]])),
        "stage_count": stage_count,
        "bull_gear": bull_gear,
        "pinions": draw(pinions(bull_rpm, count)),
        "hazardous_area": draw(AREAS),
        "installation": draw(INSTALLATIONS),
        "support": draw(_maybe(st.sampled_from(["rigid", "flexible"]))),
        "safety": draw(
            st.fixed_dictionaries(
                {},
                optional={
                    "sil_target": st.integers(1, 3),
                    "radial_trip_voting": st.sampled_from(["1oo1", "1oo2", "2oo2", "trip_with_alarm"]),
                },
            )
        ),
    }
    if draw(st.booleans()):
        machine["driver"] = draw(DRIVERS)
    return {key: value for key, value in machine.items() if value is not None}
