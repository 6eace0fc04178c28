"""Frequencies of a gear pair.

W. Foiles, gear frequencies by the Euclidean algorithm: a pinion of 23 teeth at 1800 rpm with a wheel of
67, and one of 8 teeth at 20 Hz with a wheel of 42. Values computed from the published relations; tolerance
0.1 percent.
"""

import pytest

from specapp.kernel.speeds import (
    assembly_phase_frequency_hz,
    assembly_phases,
    gear_mesh_frequency_hz,
    pinion_speed_rpm,
    tooth_repeat_frequency_hz,
)


def test_hunting_pair_23_67():
    mesh_hz = gear_mesh_frequency_hz(1800.0, 23)
    assert mesh_hz == pytest.approx(690.0, rel=1e-3)
    assert assembly_phases(67, 23) == 1
    assert assembly_phase_frequency_hz(mesh_hz, 67, 23) == mesh_hz
    assert tooth_repeat_frequency_hz(mesh_hz, 67, 23) == pytest.approx(0.4478, rel=1e-3)


def test_pair_8_42_with_two_assembly_phases():
    mesh_hz = gear_mesh_frequency_hz(20.0 * 60, 8)
    assert mesh_hz == pytest.approx(160.0, rel=1e-3)
    assert assembly_phases(42, 8) == 2
    assert assembly_phase_frequency_hz(mesh_hz, 42, 8) == pytest.approx(80.0, rel=1e-3)
    # The relation holds in both directions: here the wheel is driven by the pinion.
    assert pinion_speed_rpm(20.0 * 60, 8, 42) / 60 == pytest.approx(3.8095, rel=1e-3)
    assert tooth_repeat_frequency_hz(mesh_hz, 42, 8) == pytest.approx(0.952, rel=1e-3)
