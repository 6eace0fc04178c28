"""The figures of a loop as rows: comparison, longest cable, supply budget, bands.

The sheets of the descriptive system document and the pages print the same rows.
"""

from __future__ import annotations

from typing import Final

from specapp.documents.marks import BAR, FULL, GOVERNS, HALF, OPEN
from specapp.documents.wording import NONE, number, true_minus
from specapp.domain.proposal import Proposal
from specapp.kernel.errors import DomainError
from specapp.kernel.loops import conductor_area_mm2, conductor_resistance_ohm_per_km, conductor_sizes
from specapp.rulebook.entity_comparison import EntityComparison, EntityLine
from specapp.rulebook.fact_names import fact_words
from specapp.rulebook.loop_budget import SupplyBudget
from specapp.rulebook.loop_review import LoopReview
from specapp.rulebook.loop_types import Given, LoopType

Rows = list[tuple[str, ...]]
_STAND_IN: Final = f"{HALF} placeholder"
_RULES: Final = {"": "none in the loop", "loop.fault_high": "the current that signals a fault"}


def _figure(value: float | None, decimals: int = 4) -> str:
    return NONE if value is None else number(float(f"{value:.{decimals}g}"))


def comparison_rows(compared: EntityComparison) -> Rows:
    """Return the entity comparison: quantity, symbol, figure, sign, symbol, figure, unit, standing, note."""
    return [
        (
            line.name,
            line.left_symbol,
            _figure(line.left),
            "≤",
            line.right_symbol,
            _figure(line.right),
            line.unit,
            _standing(line),
            line.text or NONE,
        )
        for line in compared.lines
    ]


def _standing(line: EntityLine) -> str:
    if line.holds is None:
        return _STAND_IN if line.illustrated else f"{OPEN} not told"
    return f"{FULL} fits" if line.holds else f"{BAR} does not fit"


def cable_rows(review: LoopReview) -> Rows:
    """Return the longest cable by each thing that limits it: name, metres, on what basis."""
    limits: list[tuple[str, float | None, str]] = []
    if (compared := review.compared) is not None:
        longest = None if compared.longest is None else compared.longest.length_m
        fallback = ", fallback, to be confirmed" if compared.fallback_cable else ""
        basis = (
            f"{compared.governed_by}; cable {compared.cable_pf_per_m:g} pF/m, "
            f"{compared.cable_uh_per_m:g} µH/m{fallback}"
        )
        limits.append(("Intrinsic safety", longest, basis + _illustrated(bool(compared.missing))))
    if (budget := review.budget) is not None:
        basis = f"{_size(budget)} at {budget.temperature.value:g} °C"
        limits.append(("Supply", budget.limits.longest_cable_m, basis + _illustrated(bool(budget.missing))))
    if (bandwidth := review.bandwidth) is not None:
        basis = (
            f"{number(bandwidth.needed_hz / 1000)} kHz within 5 percent, {bandwidth.cable_pf_per_m:g} pF/m, "
            f"{bandwidth.source_ohm:g} Ω"
        )
        limits.append(("Bandwidth", bandwidth.longest_cable_m, basis))
    known = [length for _, length, _ in limits if length is not None]
    return [
        (
            f"{GOVERNS} {name}, governs" if length is not None and length == min(known) else name,
            "none fits" if length is None else f"{length:.0f}",
            basis,
        )
        for name, length, basis in limits
    ]


def _illustrated(missing: bool) -> str:
    return f"; {_STAND_IN}s among the figures" if missing else ""


def budget_rows(budget: SupplyBudget) -> Rows:
    """Return the supply budget as the sum it is: part, figure, unit, standing."""
    cable = "run not told" if budget.run_m is None else f"{budget.run_m:g} m of {_size(budget)}, both ways"
    rows: Rows = [
        ("Least supply voltage", _figure(budget.supply.value), "V", _origin(budget.supply)),
        ("Current", _figure(budget.current.value), "mA", _origin(budget.current)),
        ("Interface", _figure(budget.interface.value), "Ω", _origin(budget.interface)),
        ("Cable", _figure(budget.cable_ohm), "Ω", f"{cable} at {budget.temperature.value:g} °C"),
    ]
    if budget.loop.is_current_loop:
        rows.append(("Load", _figure(budget.load.value), "Ω", _origin(budget.load)))
    return [
        *rows,
        ("Left at the device", _figure(budget.voltage_v), "V", _verdict(budget)),
        ("Needed at the device", _figure(budget.minimum.value), "V", _origin(budget.minimum)),
    ]


def _size(budget: SupplyBudget) -> str:
    told = "installation.conductor" not in budget.missing
    return _square(budget.conductor) + ("" if told else " (not told, taken here)")


def _square(size: str) -> str:
    return size.replace("mm2", "mm²")


def _verdict(budget: SupplyBudget) -> str:
    if budget.works is None:
        return f"{OPEN} not evaluated: an illustration" if budget.voltage_v is not None else f"{OPEN} open"
    return f"{FULL} enough" if budget.works else f"{BAR} too little"


def turning_text(budget: SupplyBudget) -> str:
    """Say what would turn the answer, each with everything else as it is."""
    limits = budget.limits
    found = []
    if limits.longest_cable_m is not None:
        found.append(f"cable of {limits.longest_cable_m:.0f} m")
    if budget.loop.is_current_loop and limits.largest_load_ohm is not None:
        found.append(f"load of {limits.largest_load_ohm:.0f} Ω")
    if limits.thinnest_conductor is not None:
        found.append(f"conductors of {_square(limits.thinnest_conductor)}")
    if limits.hottest_conductor_c is not None:
        hot = limits.hottest_conductor_c
        found.append("any conductor temperature" if hot > 200 else f"conductors at {hot:.0f} °C")
    if not found:
        return "No cable, load or conductor makes this loop work: its supply or interface has to change."
    illustrated = " An illustration: figures are missing." if budget.missing else ""
    return f"What would still work, each by itself: {', '.join(found)}.{illustrated}"


def _origin(given: Given) -> str:
    if given.origin == "placeholder":
        return f"{_STAND_IN}, needs {fact_words(given.path, ())}"
    if given.origin == "rule":
        return _RULES.get(given.path, given.path)
    return given.origin


def conductor_rows(budget: SupplyBudget) -> Rows:
    """Return each conductor size: name, mm², one core [Ω/km] at the temperature, longest cable [m]."""
    rows: Rows = []
    spare_v = budget.supply.value - budget.minimum.value
    amps = budget.current.value / 1000
    left_ohm = spare_v / amps - budget.interface.value - budget.load.value if amps else 0.0
    for size in sorted(conductor_sizes(), key=conductor_area_mm2):
        ohm_per_km = conductor_resistance_ohm_per_km(size, budget.temperature.value)
        longest_m = left_ohm / (2 * ohm_per_km) * 1000
        mark = f"{GOVERNS} " if _same_size(size, budget.conductor) else ""
        rows.append(
            (
                f"{mark}{_square(size)}",
                f"{conductor_area_mm2(size):.3g}",
                f"{ohm_per_km:.2f}",
                "none" if longest_m <= 0 else f"{longest_m:.0f}",
            )
        )
    return rows


def _same_size(one: str, other: str) -> bool:
    try:
        return abs(conductor_area_mm2(one) - conductor_area_mm2(other)) < 1e-9
    except DomainError:
        return False


def band_rows(proposal: Proposal, loop: LoopType) -> Rows:
    """Return the bands of a loop's current [mA] or of a gap voltage [V], and what each means."""
    criteria = {str(row["key"]): row["value"] for row in proposal.criteria}
    if loop.is_current_loop:
        low, high = criteria["loop.fault_low"], criteria["loop.fault_high"]
        from_ma, to_ma = criteria["loop.band_low"], criteria["loop.band_high"]
        return [
            (f"to {low:g}", "circuit fault, low"),
            (f"{low:g} to {from_ma:g}", "uncertain"),
            (f"{from_ma:g} to 4", "below the range"),
            ("4 to 20", "reading"),
            (f"20 to {to_ma:g}", "above the range, counts as above trip"),
            (f"{to_ma:g} to {high:g}", "uncertain, counts as above trip"),
            (f"from {high:g}", "circuit fault, high"),
        ]
    if loop.key != "oscillator_demodulator":
        return []
    near, far = criteria["probe.fault_voltage_near"], criteria["probe.fault_voltage_far"]
    rest = criteria["probe.gap_voltage"]
    rows = [
        (f"above {near:g}", "circuit fault: probe touching or short circuit"),
        (f"{near:g} to {far:g}", f"reading; {rest:g} at rest"),
        (f"below {far:g}", "circuit fault: probe gone or lead broken"),
    ]
    return [(true_minus(band), true_minus(means)) for band, means in rows]
