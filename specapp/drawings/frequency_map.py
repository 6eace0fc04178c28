"""Where the train's frequencies lie against the bands of sensors, on one logarithmic axis."""

from __future__ import annotations

from dataclasses import dataclass

from specapp.domain.display import number_text
from specapp.domain.proposal import FrequencyLine, Proposal
from specapp.domain.quantities import QuantityError, parse_quantity
from specapp.drawings.axis import Axis, decade_ticks, decades_around
from specapp.drawings.marks import LABEL, Mark, marked_line, marks_height, on_paper
from specapp.drawings.scene import Group, Line, LineKind, Rect, Scene, SceneTable, Shape, Text
from specapp.drawings.text_extent import shortened, text_width_mm
from specapp.drawings.train import QUANTITY_WORDS

_MARGIN = 5.0
_NARROW = 140.0
_LABELS = 44.0
_KINDS = {
    "rotation": "",
    "gear_mesh": "mesh",
    "tooth_repeat": "tooth repeat",
    "assembly_phase": "assembly phase",
    "blade_pass": "blades",
    "vane_pass": "vanes",
    "whirl_low": "whirl",
    "whirl_high": "whirl",
    "bpfo": "outer race",
    "bpfi": "inner race",
    "bsf": "ball spin",
    "ftf": "cage",
}


@dataclass(frozen=True, slots=True)
class _Band:
    name: str
    key: str
    text: str
    low_hz: float | None
    high_hz: float | None


def frequency_map_scene(proposal: Proposal, shaft: str | None = None, width_mm: float = 240.0) -> Scene:
    """Return the map of one shaft or of all; under 140 mm wide for a phone.

    Raises
    ------
    KeyError
        If a shaft is named that has neither frequencies nor points.
    """
    lines = [line for line in proposal.frequencies if shaft in (None, line.shaft)]
    bands = _bands(proposal, shaft)
    if shaft is not None and not lines and not bands:
        raise KeyError(shaft)
    narrow = width_mm < _NARROW
    values = [line.frequency.value for line in lines]
    values += [edge for band in bands for edge in (band.low_hz, band.high_hz) if edge]
    low, high = decades_around(tuple(value for value in values if value > 0))
    axis = Axis(low, high, _MARGIN + (2 if narrow else _LABELS), width_mm - _MARGIN - 4, logarithmic=True)
    shapes: list[Shape] = []
    y = _MARGIN + 6
    ruler_y = y
    y += 4
    for name in dict.fromkeys(line.shaft for line in lines):
        marks = _marks([line for line in lines if line.shaft == name])
        drawn = on_paper(Text(_MARGIN, y + (3.2 if narrow else 3.6), name, 3.0, weight="bold"))
        y += 5.4 if narrow else 2.6
        body = marked_line(marks, axis, y)
        y += marks_height(marks, axis) + 1.5
        shapes.append(Group(name, f"Frequencies of {name}", (*drawn, *body)))
    y += 2
    for band in bands:
        y += 5.4 if narrow else 0.0
        shapes.append(_band(band, axis, y, narrow))
        y += 7.0
    grid = [Line(axis.at(hz), ruler_y, axis.at(hz), y, "hair") for hz in decade_ticks(low, high)]
    labels = [Text(axis.at(hz), ruler_y - 1.5, _hertz(hz), LABEL, "middle") for hz in decade_ticks(low, high)]
    ruler = Line(axis.left, ruler_y, axis.right, ruler_y)
    of = shaft or "all shafts"
    return Scene(
        name=f"frequencies-{shaft}" if shaft else "frequencies",
        width=width_mm,
        height=y + _MARGIN,
        title=f"Frequencies of {of}, {proposal.machine.get('tag') or 'the machine'}",
        description="Logarithmic axis in hertz: a line for each shaft, then the bands of the transducers.",
        shapes=(*grid, *labels, ruler, *shapes),
        table=_table(lines, bands),
    )


def _hertz(hz: float) -> str:
    return f"{number_text(hz / 1000)} kHz" if hz >= 1000 else f"{number_text(hz)} Hz"


def _marks(lines: list[FrequencyLine]) -> list[Mark]:
    """Return one mark a frequency; lines that fall on one value share it."""
    names: dict[str, list[FrequencyLine]] = {}
    for line in lines:
        names.setdefault(number_text(line.frequency.value, digits=3), []).append(line)
    marks = []
    for value, found in names.items():
        words = ", ".join(dict.fromkeys(_name(line) for line in found))
        kind: LineKind = "thick" if any(line.kind == "rotation" for line in found) else "thin"
        marks.append(Mark(found[0].frequency.value, f"{words} {value}", kind))
    return marks


def _name(line: FrequencyLine) -> str:
    if line.kind == "rotation":
        return f"{number_text(line.order, digits=3) if line.order is not None else '1'}X"
    return _KINDS.get(line.kind, line.kind.replace("_", " "))


def _bands(proposal: Proposal, shaft: str | None) -> list[_Band]:
    found: dict[tuple[str, str], _Band] = {}
    for point in proposal.points:
        text = point.transducer.band
        if not text or shaft not in (None, point.shaft):
            continue
        name = QUANTITY_WORDS.get(point.quantity, point.quantity)
        if (name, text) not in found:
            low, high = _edges_hz(text)
            found[(name, text)] = _Band(name, point.voting_group, text, low, high)
    return list(found.values())


def _edges_hz(text: str) -> tuple[float | None, float | None]:
    """Return the edges of a band told as "4 Hz to 4 kHz"; None where it is told otherwise."""
    low, separator, high = text.partition(" to ")
    if not separator:
        return None, None
    try:
        return parse_quantity(low, "frequency", "Hz"), parse_quantity(high, "frequency", "Hz")
    except QuantityError:
        return None, None


def _band(band: _Band, axis: Axis, y: float, narrow: bool) -> Group:
    name = shortened(band.name, 2.9, axis.right - _MARGIN if narrow else _LABELS - 3)
    shapes: list[Shape] = [*on_paper(Text(_MARGIN, y - 2.2 if narrow else y + 3.2, name, 2.9))]
    label_x = axis.left
    if band.low_hz is not None and band.high_hz is not None and band.high_hz > band.low_hz:
        label_x = axis.at(band.low_hz)
        shapes.append(Rect(label_x, y + 0.4, axis.at(band.high_hz) - label_x, 1.6, fill="hatch"))
    room = axis.right - axis.left
    text = shortened(band.text, LABEL, room)
    label_x = max(axis.left, min(label_x, axis.right - text_width_mm(text, LABEL)))
    shapes += on_paper(Text(label_x, y + 5.2, text, LABEL))
    return Group(band.key, f"{band.name}: band {band.text}", tuple(shapes))


def _table(lines: list[FrequencyLine], bands: list[_Band]) -> SceneTable:
    rows = [
        (line.shaft, (line.shaft, line.kind.replace("_", " "), _hertz(line.frequency.value), line.text))
        for line in lines
    ]
    rows += [(band.key, ("band", band.name, band.text, "")) for band in bands]
    return SceneTable(("Shaft", "Kind", "Frequency", "Remark"), tuple(rows))
