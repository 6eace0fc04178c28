"""Machines made up by hypothesis: every one of them valid, over the whole breadth of the description."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789"
TAGS = st.text(LETTERS + " -_./", min_size=1, max_size=40).filter(lambda tag: any(c.isalnum() for c in tag))
TRAINS = st.lists(
    st.text(LETTERS, min_size=1, max_size=3), max_size=3, unique_by=lambda label: label.casefold()
)
NAMES = st.text(LETTERS, min_size=1, max_size=11).map(lambda rest: "P" + rest)
OWNERS = ("machine_maker", "system_supplier", "installer", "purchaser", "existing")
AREAS = st.one_of(
    st.just("unclassified"),
    st.fixed_dictionaries(
        {
            "zone": st.integers(0, 2),
            "gas_group": st.sampled_from(("IIA", "IIB", "IIC")),
            "temperature_class": st.sampled_from(("T1", "T3", "T6")),
        }
    ),
    st.fixed_dictionaries(
        {
            "division": st.integers(1, 2),
            "area_gases": st.sampled_from((["hydrogen"], ["propane", "ethylene"], ["nitrogen"])),
        }
    ),
)


def _maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


@st.composite
def _pinions(draw: st.DrawFn, rolling: bool) -> list[dict[str, Any]]:
    count = draw(st.integers(1, 5))
    names = draw(
        st.none() | st.lists(NAMES, min_size=count, max_size=count, unique_by=lambda name: name.upper())
    )
    thrust_on_a_pinion = draw(st.booleans()) or rolling
    pinions = []
    for index in range(count):
        bearing = "thrust_bearing" if thrust_on_a_pinion and index == 0 else None
        pinion = {
            "name": names[index] if names else None,
            "speed": draw(st.integers(5000, 60_000)),
            "axial_location": bearing or draw(st.sampled_from((None, "thrust_collar", "mesh"))),
            "journal_diameter": draw(_maybe(st.integers(25, 35))),
            "probe_location": draw(st.sampled_from((None, "bearing", "seal_housing"))),
            "position_angle": draw(_maybe(st.integers(0, 359))),
        }
        pinions.append({key: value for key, value in pinion.items() if value is not None})
    return pinions


@st.composite
def machines(draw: st.DrawFn) -> dict[str, Any]:
    """Return a valid machine/1 document."""
    rolling = draw(st.booleans())
    pinions = draw(_pinions(rolling))
    driver = draw(
        _maybe(
            st.fixed_dictionaries(
                {
                    "kind": st.sampled_from(
                        ("induction_motor", "variable_speed_motor", "steam_turbine", "gas_turbine")
                    ),
                    "bearings": st.sampled_from(("sleeve", "rolling")),
                    "power": st.sampled_from(("200 kW", "4 MW")),
                }
            )
        )
    )
    installation = {
        "chain": draw(st.sampled_from((None, "monitor", "transmitter"))),
        "protection": draw(st.sampled_from((None, "intrinsic_safety", "flameproof", "non_sparking", "none"))),
        "fault_groups_independent": draw(st.sampled_from((None, True, False))),
        "cable_run": draw(st.sampled_from((None, "12.5 m", "180 m"))),
        "probe_to_box": draw(st.sampled_from((None, "3 m", "7 m"))),
    }
    service_class = draw(st.sampled_from(("process", "packaged_air")))
    machine = {
        "tag": draw(TAGS),
        "trains": draw(TRAINS),
        "service_class": service_class,
        "criticality": draw(st.sampled_from((None, "critical", "essential", "general"))),
        "setting_units": draw(st.sampled_from(("si", "us"))),
        "gases": draw(st.sampled_from(([], ["air"], ["propane"]))) if service_class == "process" else [],
        "stage_count": draw(st.integers(len(pinions), 2 * len(pinions))),
        "bull_gear": {"speed": 1490, "radial_bearings": "rolling" if rolling else "fluid_film"},
        "pinions": pinions,
        "driver": driver,
        "hazardous_area": draw(AREAS),
        "installation": {key: value for key, value in installation.items() if value is not None},
        "safety": draw(st.sampled_from(({}, {"sil_target": 2}))),
        "scope": draw(st.dictionaries(st.sampled_from(("probe", "monitor")), st.sampled_from(OWNERS))),
    }
    return {key: value for key, value in machine.items() if value is not None}
