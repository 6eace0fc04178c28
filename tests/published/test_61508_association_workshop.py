"""Probability of failure on demand against a published workshop.

I. Dolan, SIL Calculations: Practical Guidance in the use of IEC 61508-6:2010, workshop of the 61508
Association, 2024, seen in transcription. Proof test every 8760 h, restoration time as long as repair time.
Printed to three digits, held to half of the last. The row with a proof-test coverage of 85 percent
reproduces with a full test every 10 years, which the transcript infers and the source does not print.
"""

from math import exp

import pytest

from specapp.kernel.functional_safety import pfd_avg, pfd_validity, safety_integrity_level
from specapp.kernel.integrity_levels import is_below_level_4_band

YEAR_H = 8760.0
INITIATOR = {"dangerous_undetected_per_h": 5e-7, "dangerous_detected_per_h": 8e-7}
VALVE = {
    "dangerous_undetected_per_h": 2.1e-6,
    "dangerous_detected_per_h": 4e-7,
    "repair_time_h": 120.0,
    "restoration_time_h": 120.0,
}


@pytest.mark.parametrize(
    ("voting", "arguments", "printed"),
    [
        ("2oo3", INITIATOR | {"beta": 0.10, "beta_detected": 0.10}, 2.36e-4),
        ("1oo2", VALVE | {"beta": 0.10, "beta_detected": 0.10}, 1.05e-3),
        ("2oo3", INITIATOR | {"beta": 0.15, "beta_detected": 0.15}, 3.44e-4),
        (
            "1oo2",
            VALVE
            | {
                "beta": 0.10,
                "beta_detected": 0.10,
                "proof_test_coverage": 0.85,
                "full_test_interval_h": 10 * YEAR_H,
            },
            2.71e-3,
        ),
    ],
    ids=["initiators", "valve", "initiators with beta times 1.5", "valve with partial proof test"],
)
def test_printed_subsystems(voting, arguments, printed):
    found = pfd_avg(voting, proof_test_interval_h=YEAR_H, **arguments)
    assert found == pytest.approx(printed, rel=5e-3)


def test_repair_time_counts():
    """Without it the valve would come to 1.02e-3, not the 1.05e-3 printed."""
    without = VALVE | {"repair_time_h": 0.0}
    found = pfd_avg("1oo2", proof_test_interval_h=YEAR_H, beta=0.1, beta_detected=0.1, **without)
    assert found == pytest.approx(1.02e-3, rel=5e-3)


def test_rare_event_approximation_is_15_percent_high_at_five_years():
    rate, interval = 1e-5, 43_800.0
    found = pfd_avg(
        "1oo1",
        dangerous_undetected_per_h=rate,
        dangerous_detected_per_h=0.0,
        proof_test_interval_h=interval,
        repair_time_h=0.0,
    )
    exact = 1 - (1 - exp(-rate * interval)) / (rate * interval)
    assert found == pytest.approx(0.219, rel=1e-3)
    assert found / exact == pytest.approx(1.15, abs=0.005)
    validity = pfd_validity(found, dangerous_undetected_per_h=rate, proof_test_interval_h=interval)
    assert validity.state == "doubtful"
    assert "0.438" in validity.reason


@pytest.mark.parametrize(
    ("pfd", "level"),
    [(0.01, 1), (0.0099999, 2), (0.1, 0), (1e-5, 4), (9.9e-6, 4), (1e-3, 2), (1e-4, 3), (0.5, 0)],
)
def test_bands(pfd, level):
    assert safety_integrity_level(pfd) == level


def test_decade_reached_by_arithmetic_belongs_to_the_lower_level():
    assert 0.1 * 0.1 * 0.1 != 0.001
    assert safety_integrity_level(0.1 * 0.1 * 0.1) == 2
    assert safety_integrity_level(0.001 * (1 - 1e-10)) == 2
    assert safety_integrity_level(0.001 * (1 - 1e-8)) == 3


def test_floor_of_level_4():
    assert not is_below_level_4_band(1e-5)
    assert is_below_level_4_band(9.9e-6)


def test_all_common_cause_makes_two_channels_one():
    arguments = {
        "dangerous_undetected_per_h": 2e-6,
        "dangerous_detected_per_h": 0.0,
        "proof_test_interval_h": YEAR_H,
        "repair_time_h": 0.0,
    }
    single = pfd_avg("1oo1", **arguments)
    assert pfd_avg("1oo2", beta=1.0, **arguments) == pytest.approx(single, rel=1e-12)
    # Without common cause and repair the average of a product is left: (rate*interval)**2/3.
    assert pfd_avg("1oo2", **arguments) == pytest.approx((2e-6 * YEAR_H) ** 2 / 3, rel=1e-12)
