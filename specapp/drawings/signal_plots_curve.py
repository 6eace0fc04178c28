"""The curve of a probe: output, deviation from the straight line and increments over the gap."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from specapp.domain.display import number_text
from specapp.drawings.axis import Axis, round_ticks
from specapp.drawings.marks import LABEL, on_paper
from specapp.drawings.scene import Circle, Group, Line, Polyline, Rect, Scene, SceneTable, Shape, Text
from specapp.drawings.text_extent import text_width_mm
from specapp.kernel.loop_curve import LoopCurve

__all__ = ["loop_curve_scene"]

_MARGIN: Final = 5.0
_CURVE, _PANEL, _GAP = 60.0, 26.0, 8.0
_DOT: Final = 0.7


def loop_curve_scene(
    curve: LoopCurve,
    *,
    key: str,
    title: str,
    width_mm: float = 170.0,
    nominal_v_per_mm: float = 7.87,
    increment_error_percent: float = 5.0,
    deviation_um: float = 25.0,
    as_found: LoopCurve | None = None,
) -> Scene:
    """Return the picture of a curve with its limits; `as_found` is drawn dashed behind it."""
    last = max(point.gap_mm for point in curve.points)
    axis = Axis(0.0, last * 1.03, _MARGIN + 15, width_mm - _MARGIN - 4)
    shapes: list[Shape] = []
    y = _MARGIN
    shapes += on_paper(Text(_MARGIN, y + 1.8, "output, V", 2.9))
    y += 4
    shapes.append(Group(key, "output over gap", tuple(_curve(curve, as_found, axis, y, nominal_v_per_mm))))
    y += _CURVE + _GAP
    limit = f"deviation from the straight line of {number_text(nominal_v_per_mm)} V/mm, µm"
    shapes += on_paper(Text(_MARGIN, y - 1.8, limit, 2.9))
    deviations = tuple(curve.deviations_um)
    shapes.append(
        Group(f"{key}/deviation", "deviation", tuple(_panel(deviations, 0.0, deviation_um, axis, y)))
    )
    y += _PANEL + _GAP
    shapes += on_paper(Text(_MARGIN, y - 1.8, "incremental scale factor, V/mm", 2.9))
    steps = tuple((step.gap_mm, step.scale_factor_v_per_mm) for step in curve.increments)
    band = nominal_v_per_mm * increment_error_percent / 100
    shapes.append(
        Group(f"{key}/increments", "increments", tuple(_panel(steps, nominal_v_per_mm, band, axis, y)))
    )
    y += _PANEL
    for gap in (curve.low_gap_mm, curve.high_gap_mm):
        shapes.insert(0, Line(axis.at(gap), _MARGIN + 4, axis.at(gap), y, "chain"))
    shapes += _gap_axis(axis, y)
    return Scene(
        f"loop-curve-{key}",
        width_mm,
        y + 10 + _MARGIN,
        title,
        "Limits are dashed; the linear range lies between the centre lines.",
        tuple(shapes),
        _table(key, curve),
    )


def _curve(
    curve: LoopCurve, as_found: LoopCurve | None, axis: Axis, top: float, nominal: float
) -> Iterator[Shape]:
    lowest = min(point.volts for point in (*curve.points, *(as_found.points if as_found else ())))
    # Gap voltages are negative: 0 V at the foot, as the curve is usually drawn.
    up = Axis(0.0, -lowest * 1.05, top + _CURVE, top)
    yield Rect(axis.left, top, axis.right - axis.left, _CURVE, "none", "hair")
    for value in round_ticks(0.0, -lowest, 6):
        yield Line(axis.left - 1.2, up.at(value), axis.left, up.at(value), "hair")
        yield Text(axis.left - 1.8, up.at(value) + 0.9, number_text(-value), LABEL, "end")
    if as_found is not None:
        yield Polyline(tuple((axis.at(g), up.at(-v)) for g, v in as_found.points), line="dash")
    yield Polyline(tuple((axis.at(g), up.at(-v)) for g, v in curve.points))
    for gap, volts in curve.points:
        yield Circle(axis.at(gap), up.at(-volts), _DOT, "ink", "hair")
    x, y = axis.at(curve.best_gap_mm), up.at(-curve.best_gap_v)
    yield Circle(x, y, 1.6, "none", "thin")
    volts_text, gap_text = (number_text(each, digits=4) for each in (curve.best_gap_v, curve.best_gap_mm))
    text = f"best gap {volts_text} V at {gap_text} mm"
    yield from on_paper(Text(x + 3, y + 3.2, text, LABEL))
    slope = f"average {number_text(curve.average_v_per_mm, digits=4)} V/mm, nominal {number_text(nominal)}"
    yield from on_paper(Text(axis.left + 3, top + 5, slope, LABEL))


def _panel(
    points: tuple[tuple[float, float], ...], middle: float, band: float, axis: Axis, top: float
) -> Iterator[Shape]:
    reach = 1.6 * band
    up = Axis(middle - reach, middle + reach, top + _PANEL, top)
    yield Rect(axis.left, top, axis.right - axis.left, _PANEL, "none", "hair")
    for value, line in ((middle - band, "dash"), (middle, "hair"), (middle + band, "dash")):
        y = up.at(value)
        yield Line(axis.left, y, axis.right, y, "dash" if line == "dash" else "hair")
        yield Text(axis.left - 1.8, y + 0.9, number_text(value, digits=4), LABEL, "end")
    yield Polyline(tuple((axis.at(gap), up.at(value)) for gap, value in points), line="hair")
    for gap, value in points:
        # A value beyond the panel is drawn open at its edge.
        yield Circle(axis.at(gap), up.at(value), _DOT, "ink" if up.holds(value) else "paper", "thin")


def _gap_axis(axis: Axis, y: float) -> Iterator[Shape]:
    edge = -1e9
    for value in round_ticks(axis.low, axis.high, 8):
        x, label = axis.at(value), number_text(value)
        half = text_width_mm(label, LABEL) / 2
        yield Line(x, y, x, y + 1.5, "hair")
        if x - half > edge:
            yield Text(x, y + 4.6, label, LABEL, "middle")
            edge = x + half + 1
    yield Text((axis.left + axis.right) / 2, y + 9.0, "gap, mm", LABEL, "middle")


def _table(key: str, curve: LoopCurve) -> SceneTable:
    errors = {round(step.gap_mm, 6): step for step in curve.increments}
    rows = [
        (key, (f"{number_text(gap, digits=4)} mm", f"{number_text(volts, digits=5)} V", ""))
        for gap, volts in curve.points
    ]
    rows += [
        (
            key,
            (
                f"{number_text(step.gap_mm, digits=4)} mm",
                f"{number_text(step.scale_factor_v_per_mm, digits=4)} V/mm",
                f"{step.error_percent:+.1f} %",
            ),
        )
        for step in errors.values()
    ]
    return SceneTable(("Gap", "Output or increment", "Error"), tuple(rows))
