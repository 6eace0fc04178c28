"""Tables of probability of failure on demand.

IEC 61508-6:2010, annex B, table B.3 (proof test once a year, MTTR = MRT = 8 h, beta_D half of beta) and
the example of B.3.2.4. The tables were not seen: their values are from memory, and where memory gave none
they are the formula's own, so a row here shows agreement with the formula in two digits and no more. The
logic solver of the example is 1oo2D, which is not calculated: its value is taken as printed.
"""

import pytest

from specapp.kernel.functional_safety import pfd_avg, safety_integrity_level

YEAR_H = 8760.0
RATES = (0.5e-7, 2.5e-7, 0.5e-6, 2.5e-6, 0.5e-5, 2.5e-5)
TABLE_B3 = [
    ("1oo1", 0.00, 0.00, "2.2e-04 1.1e-03 2.2e-03 1.1e-02 2.2e-02 1.1e-01"),
    ("1oo1", 0.60, 0.00, "8.8e-05 4.4e-04 8.8e-04 4.4e-03 8.8e-03 4.4e-02"),
    ("1oo1", 0.99, 0.00, "2.6e-06 1.3e-05 2.6e-05 1.3e-04 2.6e-04 1.3e-03"),
    ("1oo2", 0.00, 0.02, "4.4e-06 2.3e-05 5.0e-05 3.7e-04 1.1e-03 1.8e-02"),
    ("1oo2", 0.00, 0.10, "2.2e-05 1.1e-04 2.2e-04 1.2e-03 2.7e-03 2.4e-02"),
    ("1oo2", 0.60, 0.02, "1.8e-06 9.0e-06 1.9e-05 1.1e-04 2.8e-04 3.4e-03"),
    ("1oo2", 0.90, 0.10, "2.2e-06 1.1e-05 2.2e-05 1.1e-04 2.3e-04 1.3e-03"),
    ("2oo3", 0.00, 0.02, "4.6e-06 2.7e-05 6.2e-05 6.8e-04 2.3e-03 4.8e-02"),
    ("2oo3", 0.60, 0.10, "8.8e-06 4.5e-05 9.1e-05 5.1e-04 1.1e-03 1.1e-02"),
    ("2oo3", 0.90, 0.20, "4.4e-06 2.2e-05 4.4e-05 2.3e-04 4.6e-04 2.6e-03"),
]


def pfd(voting, dangerous_per_h, coverage, beta=0.0, interval_h=YEAR_H):
    """Probability in the terms of the tables: total dangerous rate and diagnostic coverage."""
    return pfd_avg(
        voting,
        dangerous_undetected_per_h=dangerous_per_h * (1 - coverage),
        dangerous_detected_per_h=dangerous_per_h * coverage,
        beta=beta,
        beta_detected=beta / 2,
        proof_test_interval_h=interval_h,
    )


@pytest.mark.parametrize(("voting", "coverage", "beta", "printed"), TABLE_B3)
def test_table_b3(voting, coverage, beta, printed):
    found = [f"{pfd(voting, rate, coverage, beta):.1e}" for rate in RATES]
    assert found == printed.split()


@pytest.mark.parametrize(
    ("voting", "rate", "coverage", "beta", "expected"),
    [
        ("1oo1", 2.5e-6, 0.6, 0.0, 4.400e-3),
        ("1oo2", 2.5e-6, 0.6, 0.1, 4.618e-4),
        ("1oo2", 5e-6, 0.6, 0.1, 9.683e-4),
        ("2oo3", 2.5e-6, 0.9, 0.2, 2.252e-4),
    ],
)
def test_subsystems_of_the_example(voting, rate, coverage, beta, expected):
    assert pfd(voting, rate, coverage, beta) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("interval_h", "logic", "expected", "level"),
    [(YEAR_H, 1.0e-5, 1.34e-2, 1), (YEAR_H / 2, 5.0e-6, 6.75e-3, 2)],
)
def test_function_of_the_example(interval_h, logic, expected, level):
    sensors = pfd("2oo3", 2.5e-6, 0.9, 0.2, interval_h)
    valves = pfd("1oo1", 2.5e-6, 0.6, interval_h=interval_h) + pfd("1oo1", 5e-6, 0.6, interval_h=interval_h)
    found = sensors + logic + valves
    assert found == pytest.approx(expected, rel=5e-3)
    assert safety_integrity_level(found) == level


def test_function_of_the_example_with_two_of_each_valve():
    found = (
        pfd("2oo3", 2.5e-6, 0.9, 0.2) + 1.0e-5 + pfd("1oo2", 2.5e-6, 0.6, 0.1) + pfd("1oo2", 5e-6, 0.6, 0.1)
    )
    assert found == pytest.approx(1.7e-3, rel=0.03)
    assert safety_integrity_level(found) == 2


def test_ten_years_at_the_highest_rate_leave_the_formula():
    assert pfd("1oo1", 2.5e-5, 0.0, interval_h=10 * YEAR_H) > 1
