"""Figures on the pages: as set, or converted to the reader's units. Nothing stored is rounded or changed."""

from functools import lru_cache

from specapp.documents.wording import NONE, true_minus
from specapp.domain.display import converted_text, other_unit, with_unit
from specapp.domain.proposal import Measure, Range, Setpoint

Display = str | None  # "si", "us", or None for the units things are set in
_AXIAL_US = "mil"


@lru_cache(maxsize=8192)
def figure(
    value: float | None, unit: str, display: Display, *, detection: str = "", axial: bool = False
) -> str:
    """Return a quantity in the reader's units."""
    if value is None:
        return NONE
    shown = "" if detection == "mean" else detection
    target = other_unit(unit, display, _AXIAL_US if axial and unit == "mm" else "")
    if target is None:
        return true_minus(with_unit(value, unit, detection=shown))
    return true_minus(converted_text(value, unit, target, detection=shown))


def measured(item: Measure | None, display: Display, *, detection: str = "", axial: bool = False) -> str:
    return NONE if item is None else figure(item.value, item.unit, display, detection=detection, axial=axial)


def span(item: Range | None, display: Display, *, axial: bool = False) -> str:
    """Return a measuring range: "0 to 125 µm p-p", "±1 mm"."""
    if item is None:
        return NONE
    high = figure(item.high.value, item.high.unit, display, detection=item.detection, axial=axial)
    if item.low.value == -item.high.value:
        return f"±{high}"
    if item.low.value == 0:
        return f"0 to {high}"
    low = figure(item.low.value, item.low.unit, display, axial=axial)
    return f"{low} to {high}"


def setting(item: Setpoint | None, display: Display, *, detection: str = "", axial: bool = False) -> str:
    """Return a setting, both sides of a two-sided one."""
    if item is None or item.value is None:
        return NONE
    high = figure(item.value, item.unit, display, detection=detection, axial=axial)
    if item.low is None:
        return high
    if item.low == -item.value:
        return f"±{high}"
    return f"+{high} / {figure(item.low, item.unit, display, axial=axial)}"
