"""How the values of a proposal read in print: quantities, settings, states, references."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any, Final

from specapp.documents.marks import status_mark
from specapp.documents.options import DisplayUnits
from specapp.domain.display import format_quantity, number_text, unit_symbols
from specapp.domain.machine_columns import columns
from specapp.domain.proposal import Measure, Point, Proposal, Range, Reading, Setpoint

NONE: Final = "–"
OVERRIDDEN: Final = "†"
_MINUS: Final = "−"
_AXIAL_US: Final = "mil"
_NEGATIVE_IN_PROSE: Final = re.compile(r"(?<![\w)\]-])-(?=\d)")
_NEGATIVE: Final = re.compile(r"-(?=\d)")

_WORDS: Final = {
    "maker": "machine maker",
    "1oo1": "1oo1",
    "ec": "Ex ec",
    "dynamic": "dynamic signals",
}
_SETTING_UNITS: Final = {"si": "SI", "us": "US"}


def words(name: str | None) -> str:
    """Return a name of the documents as words: "radial_vibration" is "radial vibration"."""
    if name is None:
        return NONE
    return _WORDS.get(
        name, name.replace("oscillator_demodulator", "oscillator-demodulator").replace("_", " ")
    )


@lru_cache(maxsize=8192)
def quantity(
    value: float | None, unit: str, display: DisplayUnits | None, *, detection: str = "", axial: bool = False
) -> str:
    """Return a quantity with its unit, and its converted value where the reader asked for other units."""
    if value is None:
        return NONE
    us_unit = _AXIAL_US if axial and unit == "mm" else ""
    return true_minus(format_quantity(value, unit, display, detection=detection, us_unit=us_unit))


def true_minus(text: str) -> str:
    """Return the text with a minus sign before negative figures; "p-p" keeps its hyphen."""
    return _NEGATIVE.sub(_MINUS, text)


def prose(text: str) -> str:
    """Return a sentence of the proposal with the printed symbols of its units and true minus signs."""
    if text.isascii():
        text = unit_symbols(text)
        text = _NEGATIVE_IN_PROSE.sub(_MINUS, text)
    return text


def measure(
    measured: Measure | None, display: DisplayUnits | None = None, *, detection: str = "", axial: bool = False
) -> str:
    if measured is None:
        return NONE
    return quantity(measured.value, measured.unit, display, detection=detection, axial=axial)


@lru_cache(maxsize=8192, typed=True)
def number(value: float | int | str | None) -> str:
    """Return a plain number with a true minus sign, a text as it is."""
    if value is None:
        return NONE
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return true_minus(number_text(value))
    return str(value)


def range_text(span: Range | None, display: DisplayUnits | None = None, *, axial: bool = False) -> str:
    """Return a measuring range, "0 to 125 µm p-p"."""
    if span is None:
        return NONE
    top = measure(span.high, display, detection=_printed(span.detection), axial=axial)
    return f"{number(span.low.value)} to {top}"


def _printed(detection: str) -> str:
    """Return the detection where the unit alone does not say it; a mean value goes without saying."""
    return "" if detection == "mean" else detection


def setting_text(setpoint: Setpoint | None, point: Point, display: DisplayUnits | None) -> str:
    """Return a setting: "41 µm p-p", "±0.42 mm", or both signed sides where they differ."""
    if setpoint is None:
        return NONE
    detection = _printed(point.range.detection) if point.range is not None else ""
    axial = point.quantity == "axial_position"
    return two_sided(setpoint.value, setpoint.low, setpoint.unit, display, detection=detection, axial=axial)


def reading_setting_text(setpoint: Setpoint | None, reading: Reading, display: DisplayUnits | None) -> str:
    """Return a setting of a further reading, in that reading's own detection."""
    if setpoint is None:
        return NONE
    detection = _printed(reading.range.detection) if reading.range is not None else ""
    return two_sided(setpoint.value, setpoint.low, setpoint.unit, display, detection=detection)


def two_sided(
    high: float | None,
    low: float | None,
    unit: str,
    display: DisplayUnits | None,
    *,
    detection: str = "",
    axial: bool = False,
) -> str:
    if high is None:
        return NONE
    text = quantity(high, unit, display, detection=detection, axial=axial)
    if low is None:
        return text
    if low == -high:
        return f"±{text}"
    return f"+{text}\n{quantity(low, unit, display, detection=detection, axial=axial)}"


def pair(high: float | None, low: float | None, decimals: int) -> str:
    """Return an output of one or two sides at fixed decimals, high side first."""
    if high is None:
        return ""
    texts = [true_minus(f"{value:.{decimals}f}") for value in (high, low) if value is not None]
    return " / ".join(texts)


def setting_units(proposal: Proposal) -> str:
    units = str(proposal.machine.get("setting_units", "si"))
    return _SETTING_UNITS.get(units, units)


def machine_tag(proposal: Proposal) -> str:
    """Return the machine's tag, with its trains where there are several: "K-4410 A, B"."""
    tag = str(proposal.machine.get("tag", ""))
    trains = proposal.machine.get("trains") or ()
    return f"{tag} {', '.join(map(str, trains))}" if trains else tag


def on_two_lines(text: str) -> str:
    """Return a quantity with its converted value on a line of its own, for a narrow column."""
    return text.replace(" (= ", "\n(= ")


def grouped_keys(keys: Sequence[str]) -> str:
    """Return keys with those that differ in the last part alone together: "P1/P1-1/radial/Y, X"."""
    groups: dict[str, list[str]] = {}
    for key in keys:
        stem, _, last = key.rpartition("/")
        groups.setdefault(stem, []).append(last)
    parts = []
    for stem, lasts in groups.items():
        numbers = [int(last) for last in lasts if last.isdigit()]
        if len(numbers) == len(lasts) > 2 and numbers == list(range(numbers[0], numbers[0] + len(numbers))):
            lasts = [f"{numbers[0]} to {numbers[-1]}"]
        parts.append(f"{stem}/{', '.join(lasts)}" if stem else ", ".join(lasts))
    return "; ".join(parts)


def tags_text(point: Point) -> str:
    """Return the tags of a point over all trains, one a line; the bare tag without trains."""
    return "\n".join(point.tags.values()) if point.tags else point.tag


def numbered_list(indices: Iterable[int]) -> str:
    """Return references into the reasons, "12, 14", counted from 1 as the appendix counts them."""
    return ", ".join(str(index + 1) for index in indices)


def criterion_marks(proposal: Proposal) -> Mapping[str, str]:
    """Return the mark of each criterion used: its status, and a dagger where it was overridden."""
    return {
        str(criterion["key"]): status_mark(str(criterion.get("status", "")))
        + (OVERRIDDEN if criterion.get("override") else "")
        for criterion in proposal.criteria
    }


def told(path: str, value: Any, display: DisplayUnits | None) -> str:
    """Return a value of the machine description with the unit of its field, "pinions[0].babbitt"."""
    column = columns().get(path)
    if column is not None and column.quantity is not None and isinstance(value, int | float):
        of_field = column.quantity
        text = format_quantity(float(value), of_field.unit, display, us_unit=of_field.us_unit)
        return true_minus(text)
    return plain(value)


def with_criterion_unit(value: Any, unit: str) -> str:
    """Return a criterion's value with its unit; a plain number has the unit "1", a word has none."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return quantity(float(value), unit or "1", None)
    return plain(value)


def plain(value: Any) -> str:
    """Return any JSON value of the proposal as text a person reads."""
    if value is None or value == "" or value == [] or value == {}:
        return NONE
    if isinstance(value, Mapping):
        if set(value) == {"value", "unit"} and isinstance(value["value"], int | float):
            return quantity(float(value["value"]), str(value["unit"]), None)
        return ", ".join(f"{words(str(key))} {plain(item)}" for key, item in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(plain(item) for item in value)
    if isinstance(value, Measure):
        return measure(value)
    if isinstance(value, int | float):
        return number(value)
    return words(str(value)) if str(value).replace("_", "").islower() else str(value)
