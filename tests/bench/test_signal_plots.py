"""Pictures of the bench and of loop curves: nothing clipped, no labels on one another, wide and for a
phone."""

import pytest

from specapp.bench.running import trace_cell
from specapp.drawings.signal_plots import signal_plot_scene
from specapp.drawings.signal_plots_curve import loop_curve_scene
from specapp.drawings.svg import svg_text
from specapp.kernel.loop_curve import loop_curve
from tests.bench.ground import proposal_of
from tests.drawings.geometry import assert_sound
from tests.kernel.test_loop_curve import HAND, straight

CASES = [
    ("P1/P1-1/radial", "step_above_trip"),
    ("P1/P1-1/radial", "start_through_critical"),
    ("P1/P1-1/radial", "loss_of_signal"),
    ("BG/axial", "thrust_wear"),
    ("BG/B1/casing", "one_sided_spikes"),
    ("BG/thrust/active", "slow_rise"),
    ("M/winding", "power_dip"),
]


@pytest.mark.parametrize(("function", "scenario"), CASES)
@pytest.mark.parametrize("width_mm", [200.0, 100.0])
def test_pictures_are_sound(function, scenario, width_mm):
    scene = signal_plot_scene(trace_cell(proposal_of(), function, scenario), width_mm)
    assert_sound(scene)
    assert svg_text(scene).count("<g ") >= 4
    assert [row for _, row in scene.table.rows if row[0] == "trip"]


@pytest.mark.parametrize("points", [HAND, straight(7.3)])
def test_picture_of_a_curve(points):
    curve = loop_curve(points)
    scene = loop_curve_scene(curve, key="P1/P1-1/radial/Y", title="Loop curve", as_found=loop_curve(HAND))
    assert_sound(scene)
    assert len(scene.table.rows) == 2 * len(points) - 1
