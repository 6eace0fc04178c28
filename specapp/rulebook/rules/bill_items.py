"""The items a bill may hold: what each is called, who owns it, whether it is spared."""

from __future__ import annotations

from dataclasses import dataclass

from specapp.rulebook.context import Context, PointDraft
from specapp.rulebook.rules.installation import in_seal_housing

LOOSE = "loose"
MODULE = "module"
NEVER = "never"

# Electrical length of a system less the lead of the probe itself names the extension cable.
_EXTENSION_CABLE = {5.0: "extension_cable_4m", 9.0: "extension_cable_8m"}
_PROBE = {8.0: "proximity_probe_8mm", 5.0: "proximity_probe_5mm"}
_TRANSMITTER = {"radial_vibration": "vibration_transmitter", "axial_position": "position_transmitter"}


@dataclass(frozen=True, slots=True)
class BillItem:
    """One item of the bill: words for the buyer, the link whose owner supplies it, its kind of spare.

    ``in_the_field`` items bear the marking that the area requires.
    """

    description: str
    link: str
    spared: str
    in_the_field: bool


ITEMS = {
    "proximity_probe_8mm": BillItem("Proximity probe, 8 mm tip", "probe", LOOSE, True),
    "proximity_probe_5mm": BillItem("Proximity probe, 5 mm tip", "probe", LOOSE, True),
    "installed_spare_probe": BillItem(
        "Installed spare proximity probe with its extension cable, wired to the box", "probe", NEVER, True
    ),
    "probe_holder": BillItem("Probe holder, the probe replaceable from outside", "probe", NEVER, False),
    "feed_through": BillItem("Pressure-rated lead feed-through", "feed_through", NEVER, False),
    "extension_cable_4m": BillItem("Extension cable, 4 m", "extension_cable", LOOSE, True),
    "extension_cable_8m": BillItem("Extension cable, 8 m", "extension_cable", LOOSE, True),
    "oscillator_demodulator": BillItem("Oscillator-demodulator", "oscillator_demodulator", LOOSE, True),
    "vibration_transmitter": BillItem(
        "Vibration transmitter for a proximity probe, loop-powered 4 to 20 mA", "transmitter", LOOSE, True
    ),
    "position_transmitter": BillItem(
        "Position transmitter for a proximity probe, loop-powered 4 to 20 mA", "transmitter", LOOSE, True
    ),
    "accelerometer": BillItem("Accelerometer with cable", "probe", LOOSE, True),
    "high_frequency_accelerometer": BillItem(
        "High-frequency accelerometer with cable, stud mounted", "probe", LOOSE, True
    ),
    "velocity_sensor": BillItem("Casing velocity sensor", "probe", LOOSE, True),
    "resistance_thermometer": BillItem(
        "Resistance thermometer element, Pt100, embedded", "probe", NEVER, True
    ),
    "speed_sensor": BillItem("Speed sensor", "probe", LOOSE, True),
    "junction_box": BillItem("Junction box", "junction_box", NEVER, True),
    "galvanic_isolator": BillItem("Galvanic isolator", "isolator", LOOSE, False),
    "monitor_rack": BillItem("Monitor rack", "monitor", NEVER, False),
    "monitor_module_dynamic": BillItem("Monitor module, vibration and position", "monitor", MODULE, False),
    "monitor_module_phase": BillItem("Monitor module, phase reference", "monitor", MODULE, False),
    "monitor_module_speed": BillItem("Monitor module, speed", "monitor", MODULE, False),
    "monitor_module_temperature": BillItem("Monitor module, temperature", "monitor", MODULE, False),
    "power_supply": BillItem("Power supply of a rack", "monitor", MODULE, False),
    "relay_module": BillItem("Relay module", "monitor", MODULE, False),
    "overspeed_system": BillItem(
        "Overspeed system, three circuits, 2oo3, with its own supplies and relays", "monitor", NEVER, False
    ),
}
ITEM_ORDER = {item: place for place, item in enumerate(ITEMS)}


def sealed_probes(ctx: Context) -> frozenset[str]:
    """Return the keys of the radial probes that stand in a seal housing, in the process gas."""
    return frozenset([point.key for point in ctx.of_quantity("radial_vibration") if in_seal_housing(point)])


def point_items(point: PointDraft, sealed: frozenset[str]) -> tuple[str, ...]:
    """Return the items that one point needs at the machine, boxes and cables apart."""
    transducer = point.transducer
    assert transducer is not None
    if transducer.type != "proximity_probe":
        return (transducer.type,)
    assert transducer.tip is not None
    assert transducer.system_length is not None
    electronics = "oscillator_demodulator"
    if point.chain == "transmitter":
        electronics = _TRANSMITTER[point.quantity]
    cable = _EXTENSION_CABLE[transducer.system_length.value]
    items = (_PROBE[transducer.tip.value], "probe_holder", cable, electronics)
    return (*items, "feed_through") if point.key in sealed else items
