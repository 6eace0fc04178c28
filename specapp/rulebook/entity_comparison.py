"""The entity comparison of an intrinsically safe loop, line by line, and the cable it leaves.

Voltage, current and power of the source against what the device may be given; capacitance and inductance
of device and cable against what the source permits in the gas group of the area.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from specapp.kernel.area_classes import (
    DIVISION_GROUPS,
    temperature_class_limit_c,
    zone_group_for_division_group,
)
from specapp.kernel.errors import OutOfRange
from specapp.kernel.intrinsic_safety import LongestCable, longest_cable_m
from specapp.kernel.simple_apparatus import simple_apparatus_power_w
from specapp.rulebook.loop_types import Given, LoopFacts, LoopType

# What a comparison reads besides facts, by criterion key.
ENTITY_CRITERIA = (
    "cable.capacitance",
    "cable.inductance",
    "cable.inductance_per_resistance",
    "cable.conductor_temperature",
)
_LIMITS = (
    ("voltage", "Uo", "uo_v", "Ui", "ui_v", "V"),
    ("current", "Io", "io_ma", "Ii", "ii_ma", "mA"),
    ("power", "Po", "po_w", "Pi", "pi_w", "W"),
)
_NEGLIGIBLE = 0.01
_NOISE = 1e-9
_PER_THOUSAND = 1000.0


@dataclass(frozen=True, slots=True)
class EntityLine:
    """One line: what the source gives or permits against what device and cable bear or have.

    ``holds`` is None while a figure of either side is missing or a placeholder; ``text`` says how it was
    put together where the figures alone do not.
    """

    name: str
    left_symbol: str
    left: float | None
    right_symbol: str
    right: float | None
    unit: str
    holds: bool | None
    illustrated: bool
    text: str = ""


@dataclass(frozen=True, slots=True)
class EntityComparison:
    """The comparison of one kind of loop.

    ``missing`` names every figure not told; while there is one, nothing passes and figures shown are an
    illustration with placeholders. ``longest`` is the longest cable, None where none fits or a figure has
    not even a placeholder; ``halved`` whether Co and Lo were halved; ``fallback_cable`` whether the data of
    the cable are the fallback of the standard; ``safe`` None while undecided.
    """

    loop: LoopType
    gas_group: str
    lines: tuple[EntityLine, ...]
    missing: tuple[str, ...]
    run_m: float | None
    cable_pf_per_m: float
    cable_uh_per_m: float
    fallback_cable: bool
    longest: LongestCable | None
    governed_by: str
    halved: bool
    notes: tuple[str, ...]

    @property
    def safe(self) -> bool | None:
        if any(line.holds is False for line in self.lines):
            return False
        return None if self.missing or any(line.holds is None for line in self.lines) else True


def zone_group(group: str) -> str:
    """Return the group of the zone system that stands for a group of either system."""
    return zone_group_for_division_group(group) if group in DIVISION_GROUPS else group


def entity_comparison(
    loop: LoopType,
    facts: LoopFacts,
    gas_group: str,
    criteria: Mapping[str, float],
    *,
    temperature_class: str = "T4",
    fallback_cable: bool = True,
) -> EntityComparison:
    """Return the comparison of a kind of loop with the isolator that serves it.

    Parameters
    ----------
    loop : LoopType
        Kind of loop.
    facts : LoopFacts
        What was told.
    gas_group : str
        Group of the area, of either system.
    criteria : mapping of str to float
        Values in force of `ENTITY_CRITERIA`.
    temperature_class : str
        Class of the area. The power that simple apparatus bears is known to T4; in a milder area that
        holds too, in a stricter one the power has to be told.
    fallback_cable : bool
        Whether the cable data in `criteria` are the fallback, not those of the cable.
    """
    group = zone_group(gas_group)
    source = {
        field: facts.figure("isolator", field)
        for field in ("uo_v", "io_ma", "po_w", "co_nf", "lo_mh", "lo_ro_uh_per_ohm")
    }
    device = _device_figures(loop, facts, criteria, temperature_class)
    lines = [
        _limit_line(name, left, source[left_field], right, device[right_field], unit)
        for name, left, left_field, right, right_field, unit in _LIMITS
        if not (loop.is_simple_apparatus and right_field != "pi_w")
    ]
    needed = [*(source[f] for f in ("uo_v", "io_ma", "po_w", "co_nf", "lo_mh")), *device.values()]
    paths = [f"devices.isolator.{f}" for f in ("uo_v", "io_ma", "po_w", "co_nf", "lo_mh")]
    paths += [f"devices.{loop.device}.{f}" for f in device]
    missing = [
        path
        for path, given in zip(paths, needed, strict=True)
        if given is None or given.origin == "placeholder"
    ]
    if facts.run_m is None:
        missing.append("installation.cable_run")
    pf_per_m, uh_per_m = criteria["cable.capacitance"], criteria["cable.inductance"]
    longest, cable_lines, governed = _cable(source, device, facts.run_m, criteria, group)
    return EntityComparison(
        loop,
        gas_group,
        (*lines, *cable_lines),
        tuple(missing),
        facts.run_m,
        pf_per_m,
        uh_per_m,
        fallback_cable,
        longest,
        governed,
        longest is not None and longest.halved,
        _notes(loop, fallback_cable=fallback_cable, halved=longest is not None and longest.halved),
    )


def _device_figures(
    loop: LoopType, facts: LoopFacts, criteria: Mapping[str, float], temperature_class: str
) -> dict[str, Given | None]:
    """Return the limits of the device; a resistance element is simple apparatus and stores nothing."""
    fields = ("ui_v", "ii_ma", "pi_w", "ci_nf", "li_uh")
    if not loop.is_simple_apparatus:
        return {field: facts.figure(loop.device, field) for field in fields}
    ambient_c = facts.ambient_maximum_c
    if ambient_c is None:
        ambient_c = criteria["cable.conductor_temperature"]
    found: dict[str, Given | None] = {
        field: facts.figure(loop.device, field) or Given(0.0, "rule", "") for field in ("ci_nf", "li_uh")
    }
    told = facts.figure(loop.device, "pi_w")
    limit_c = temperature_class_limit_c(temperature_class, "division")
    if told is None and limit_c >= temperature_class_limit_c("T4"):
        try:
            told = Given(simple_apparatus_power_w(ambient_c), "rule", "ambient.maximum")
        except OutOfRange:
            told = None
    return {"pi_w": told, **found}


def _limit_line(
    name: str, left_symbol: str, left: Given | None, right_symbol: str, right: Given | None, unit: str
) -> EntityLine:
    holds = None
    if left is not None and right is not None and "placeholder" not in (left.origin, right.origin):
        holds = left.value <= right.value + _NOISE
    return EntityLine(
        name,
        left_symbol,
        None if left is None else left.value,
        right_symbol,
        None if right is None else right.value,
        unit,
        holds,
        any(each is not None and each.origin == "placeholder" for each in (left, right)),
        "simple apparatus, T4" if right is not None and right.path == "ambient.maximum" else "",
    )


def _cable(
    source: Mapping[str, Given | None],
    device: Mapping[str, Given | None],
    run_m: float | None,
    criteria: Mapping[str, float],
    group: str,
) -> tuple[LongestCable | None, tuple[EntityLine, ...], str]:
    """Return the longest cable, the lines of capacitance and inductance, and what governs."""
    co, lo, ci, li = source["co_nf"], source["lo_mh"], device["ci_nf"], device["li_uh"]
    pf_per_m, uh_per_m = criteria["cable.capacitance"], criteria["cable.inductance"]
    if co is None or lo is None or ci is None or li is None:
        return None, (), "not told"
    known = all(each.origin != "placeholder" for each in (co, lo, ci, li))
    try:
        found = longest_cable_m(
            co_nf=co.value,
            ci_nf=ci.value,
            lo_mh=lo.value,
            li_uh=li.value,
            cable_pf_per_m=pf_per_m,
            cable_uh_per_m=uh_per_m,
            gas_group=group,
        )
    except OutOfRange as error:
        line = EntityLine(
            "capacitance" if error.name == "ci_nf" else "inductance",
            "Ci" if error.name == "ci_nf" else "Li",
            ci.value if error.name == "ci_nf" else li.value / _PER_THOUSAND,
            "Co" if error.name == "ci_nf" else "Lo",
            co.value if error.name == "ci_nf" else lo.value,
            "nF" if error.name == "ci_nf" else "mH",
            False if known else None,
            not known,
            "the device alone takes more than the source leaves",
        )
        return None, (line,), "no cable fits"
    ratio = _ratio(source["lo_ro_uh_per_ohm"], lo, li, criteria)
    if found.governed_by == "inductance" and ratio is True:
        # The ratio of the cable makes its length free of the inductance; the capacitance still governs.
        by_capacitance = (found.co_nf - ci.value) * _PER_THOUSAND / pf_per_m
        found = LongestCable(by_capacitance, "capacitance", found.halved, found.co_nf, found.lo_mh)
    if run_m is None:
        return found, (), found.governed_by
    nanofarads = ci.value + run_m * pf_per_m / _PER_THOUSAND
    millihenries = (li.value + run_m * uh_per_m) / _PER_THOUSAND
    fits_c = nanofarads <= found.co_nf + _NOISE
    fits_l = millihenries <= found.lo_mh + _NOISE or ratio is True
    halves = ", halved" if found.halved else ""
    by_ratio = ", met by L/R of the cable" if ratio is True and millihenries > found.lo_mh else ""
    return (
        found,
        (
            EntityLine(
                "capacitance",
                "Ci + Cc",
                nanofarads,
                f"Co{halves}",
                found.co_nf,
                "nF",
                fits_c if known else None,
                not known,
            ),
            EntityLine(
                "inductance",
                "Li + Lc",
                millihenries,
                f"Lo{halves}",
                found.lo_mh,
                "mH",
                fits_l if known else None,
                not known,
                by_ratio.lstrip(", "),
            ),
        ),
        found.governed_by,
    )


def _ratio(permitted: Given | None, lo: Given, li: Given, criteria: Mapping[str, float]) -> bool | None:
    """Tell whether L/R of the cable is within Lo/Ro of the source; None where that may not be asked."""
    if permitted is None or li.value > _NEGLIGIBLE * lo.value * _PER_THOUSAND:
        return None
    if permitted.origin == "placeholder" and lo.origin != "placeholder":
        return None
    return criteria["cable.inductance_per_resistance"] <= permitted.value


def _notes(loop: LoopType, *, fallback_cable: bool, halved: bool) -> tuple[str, ...]:
    notes = []
    if loop.key == "oscillator_demodulator":
        notes.append(
            "Supply and signal are two channels on one device: the figures of the isolator are those that "
            "its certificate gives for both together. Channels in series add their voltages, channels in "
            "parallel their currents; the figures of one channel alone are not enough."
        )
        notes.append(
            "Probe and extension cable belong to the certificate of the oscillator-demodulator; their "
            "capacitance and inductance are inside its figures."
        )
    if loop.is_simple_apparatus:
        notes.append("A resistance element is simple apparatus; it stores no energy worth counting.")
    if halved:
        notes.append(
            "Ci is above 1 percent of Co and Li above 1 percent of Lo: both are halved, and the halved Co is "
            "capped at 600 nF (IIC) or 1 µF. Editions of the standard differ in the cap."
        )
    if fallback_cable:
        notes.append(
            "The data of the cable are a fallback for an unknown cable, to be confirmed by its data sheet; "
            "for a screened cable the worse of core to core and core to core with screen counts."
        )
    return tuple(notes)
