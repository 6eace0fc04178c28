"""Computed from the formulas of IEC 61508-6:2010 annex B and ISA-TR84.00.02; published rows stand apart."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from specapp.kernel.errors import DomainError, MissingInput, OutOfRange
from specapp.kernel.functional_safety import (
    VOTINGS,
    beta_for_voting,
    hours_between_spurious_trips,
    pfd_avg,
    pfd_validity,
    refuse_unless_low_demand,
    safety_integrity_level,
    spurious_trip_rate_per_h,
)
from specapp.kernel.integrity_levels import (
    level_by_route_1h,
    minimum_hardware_fault_tolerance,
    safe_failure_fraction,
)

YEAR_H = 8760.0
CHANNEL = {
    "dangerous_undetected_per_h": 8e-7,
    "dangerous_detected_per_h": 1.2e-6,
    "beta": 0.1,
    "beta_detected": 0.05,
    "proof_test_interval_h": YEAR_H,
}

rates = st.floats(1e-9, 5e-6)
intervals = st.floats(100.0, 20_000.0)
shares = st.floats(0.0, 0.3)


@pytest.mark.parametrize(
    ("voting", "expected"),
    [("1oo1", 3.520e-3), ("1oo2", 3.658e-4), ("2oo2", 7.040e-3), ("2oo3", 3.945e-4), ("1oo3", 3.516e-4)],
)
def test_one_channel_in_every_voting(voting, expected):
    assert pfd_avg(voting, **CHANNEL) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(("voting", "expected"), [("1oo1", 4.588e-3), ("1oo2", 2.554853e-4)])
def test_repair_and_restoration_times_are_not_mixed_up(voting, expected):
    found = pfd_avg(
        voting,
        dangerous_undetected_per_h=1e-6,
        dangerous_detected_per_h=5e-6,
        beta=0.05,
        beta_detected=0.02,
        proof_test_interval_h=YEAR_H,
        repair_time_h=168.0,
        restoration_time_h=8.0,
    )
    assert found == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("voting", "expected"), [("1oo1", 8.760e-3), ("1oo2", 5.3034e-4), ("2oo2", 1.752e-2), ("2oo3", 7.1502e-4)]
)
def test_channels_without_diagnostics_or_repair_time(voting, expected):
    found = pfd_avg(
        voting,
        dangerous_undetected_per_h=2e-6,
        dangerous_detected_per_h=0.0,
        beta=0.05,
        proof_test_interval_h=YEAR_H,
        repair_time_h=0.0,
    )
    assert found == pytest.approx(expected, rel=1e-4)


def test_squaring_the_average_would_be_too_kind():
    """The simplified form of ISA-TR84.00.02:2015 gives 5.0726e-4, a quarter less in its independent term."""
    single = 2e-6 * YEAR_H / 2
    squared = (0.95 * single) ** 2 + 0.05 * single
    assert squared == pytest.approx(5.0726e-4, rel=1e-4)
    found = pfd_avg(
        "1oo2",
        dangerous_undetected_per_h=2e-6,
        dangerous_detected_per_h=0.0,
        beta=0.05,
        proof_test_interval_h=YEAR_H,
        repair_time_h=0.0,
    )
    assert (found - 0.05 * single) / (squared - 0.05 * single) == pytest.approx(4 / 3)


@given(voting=st.sampled_from(VOTINGS), undetected=rates, detected=rates, interval=intervals, beta=shares)
def test_more_of_anything_bad_is_never_better(voting, undetected, detected, interval, beta):
    def pfd(**change):
        arguments = {
            "dangerous_undetected_per_h": undetected,
            "dangerous_detected_per_h": detected,
            "proof_test_interval_h": interval,
            "beta": beta,
            "beta_detected": beta / 2,
        }
        return pfd_avg(voting, **{**arguments, **change})

    before = pfd()
    assert pfd(proof_test_interval_h=1.5 * interval) >= before
    assert pfd(dangerous_undetected_per_h=1.5 * undetected) >= before
    assert pfd(dangerous_detected_per_h=1.5 * detected) >= before
    assert pfd(repair_time_h=80.0) >= before
    assert pfd(restoration_time_h=80.0) >= before
    assert pfd(proof_test_coverage=0.8, full_test_interval_h=3 * interval) >= before


@given(voting=st.sampled_from(VOTINGS), total=rates, interval=intervals, coverage=st.floats(0.0, 0.9))
def test_better_diagnostics_never_harm(voting, total, interval, coverage):
    def pfd(share):
        return pfd_avg(
            voting,
            dangerous_undetected_per_h=total * (1 - share),
            dangerous_detected_per_h=total * share,
            beta=0.1,
            beta_detected=0.05,
            proof_test_interval_h=interval,
        )

    assert pfd(coverage + 0.1) <= pfd(coverage) * (1 + 1e-12)


@given(undetected=rates, detected=rates, interval=intervals, beta=shares)
def test_order_of_the_votings(undetected, detected, interval, beta):
    assume((undetected + detected) * interval < 0.1)
    found = {
        voting: pfd_avg(
            voting,
            dangerous_undetected_per_h=undetected,
            dangerous_detected_per_h=detected,
            beta=beta,
            beta_detected=beta / 2,
            proof_test_interval_h=interval,
        )
        for voting in VOTINGS
    }
    assert found["1oo3"] <= found["1oo2"] <= found["2oo3"]
    assert found["1oo2"] <= found["1oo1"]
    assert found["2oo2"] == pytest.approx(2 * found["1oo1"])


@given(voting=st.sampled_from(["1oo2", "2oo3", "1oo3"]), undetected=rates, interval=intervals, beta=shares)
def test_more_common_cause_is_never_better_for_rare_failures(voting, undetected, interval, beta):
    assume(undetected * interval < 0.1)

    def pfd(share):
        return pfd_avg(
            voting,
            dangerous_undetected_per_h=undetected,
            dangerous_detected_per_h=0.0,
            beta=share,
            proof_test_interval_h=interval,
        )

    assert pfd(beta + 0.1) >= pfd(beta)


def test_channel_that_never_fails():
    arguments = CHANNEL | {"dangerous_undetected_per_h": 0.0, "dangerous_detected_per_h": 0.0}
    assert [pfd_avg(voting, **arguments) for voting in VOTINGS] == [0.0] * 5


def test_proof_test_that_finds_everything_needs_no_full_test():
    full = pfd_avg("1oo2", **CHANNEL)
    assert pfd_avg("1oo2", **CHANNEL, proof_test_coverage=1.0, full_test_interval_h=10 * YEAR_H) == full
    assert pfd_avg("1oo2", **CHANNEL, proof_test_coverage=0.5, full_test_interval_h=YEAR_H) == pytest.approx(
        full
    )


def test_partial_proof_test_of_a_single_channel():
    found = pfd_avg("1oo1", **CHANNEL, proof_test_coverage=0.9, full_test_interval_h=5 * YEAR_H)
    expected = 8e-7 * (0.9 * (YEAR_H / 2 + 8) + 0.1 * (5 * YEAR_H / 2 + 8)) + 1.2e-6 * 8
    assert found == pytest.approx(expected)


def test_partial_proof_test_without_a_full_one_is_incomplete():
    with pytest.raises(MissingInput, match="full_test_interval_h"):
        pfd_avg("1oo1", **CHANNEL, proof_test_coverage=0.999)


@pytest.mark.parametrize(
    "change",
    [
        {"dangerous_undetected_per_h": -1e-9},
        {"dangerous_detected_per_h": float("nan")},
        {"beta": 1.01},
        {"beta_detected": -0.01},
        {"proof_test_interval_h": 0.0},
        {"repair_time_h": -1.0},
        {"restoration_time_h": float("inf")},
        {"proof_test_coverage": 1.1},
        {"full_test_interval_h": YEAR_H - 1},
    ],
)
def test_impossible_arguments_are_named(change):
    with pytest.raises(DomainError) as caught:
        pfd_avg("1oo2", **{**CHANNEL, **change})
    assert caught.value.name in change


@pytest.mark.parametrize("voting", ["1oo2D", "3oo3", "2oo4", "", None])
def test_other_votings_are_refused(voting):
    with pytest.raises(DomainError, match="1oo1, 1oo2, 2oo2, 2oo3, 1oo3"):
        pfd_avg(voting, **CHANNEL)
    with pytest.raises(DomainError, match="1oo1, 1oo2, 2oo2, 2oo3, 1oo3"):
        spurious_trip_rate_per_h(voting, safe_per_h=1e-6)


def test_the_refusal_of_1oo2d_says_why():
    with pytest.raises(DomainError, match="efficiency of its comparison"):
        pfd_avg("1oo2D", **CHANNEL)


@pytest.mark.parametrize("demand_mode", ["high", "continuous"])
def test_probability_per_hour_is_refused_by_name(demand_mode):
    with pytest.raises(OutOfRange, match="PFH is not calculated"):
        refuse_unless_low_demand(demand_mode)
    with pytest.raises(DomainError):
        refuse_unless_low_demand("often")


@pytest.mark.parametrize(
    ("pfd", "rate_per_h", "state"),
    [
        (0.05, 0.0999 / YEAR_H, "valid"),
        (0.05, 0.1001 / YEAR_H, "doubtful"),
        (0.999, 1e-6, "valid"),
        (1.0, 1e-6, "refused"),
        (1.1, 1e-4, "refused"),
    ],
)
def test_validity_on_each_side_of_its_limits(pfd, rate_per_h, state):
    found = pfd_validity(pfd, dangerous_undetected_per_h=rate_per_h, proof_test_interval_h=YEAR_H)
    assert found.state == state
    assert (found.reason == "") is (state == "valid")


def test_validity_counts_what_the_proof_test_leaves():
    arguments = {"dangerous_undetected_per_h": 5e-6, "proof_test_interval_h": YEAR_H}
    assert pfd_validity(0.02, **arguments).state == "valid"
    partial = pfd_validity(0.02, **arguments, proof_test_coverage=0.8, full_test_interval_h=10 * YEAR_H)
    assert partial.state == "doubtful"


@given(st.floats(0.0, 2.0), st.floats(0.0, 2.0))
def test_a_smaller_probability_never_has_a_lower_level(one, other):
    one, other = sorted((one, other))
    assert safety_integrity_level(one) >= safety_integrity_level(other)


@pytest.mark.parametrize("pfd", [-1e-9, float("nan"), None])
def test_what_is_no_probability_has_no_level(pfd):
    with pytest.raises(DomainError):
        safety_integrity_level(pfd)


@pytest.mark.parametrize(
    ("voting", "beta", "years"),
    [
        ("1oo1", 0.0, 114.2),
        ("1oo2", 0.0, 57.08),
        ("2oo2", 0.0, 7.135e6),
        ("2oo3", 0.0, 2.378e6),
        ("2oo3", 0.05, 2281.0),
        ("1oo3", 0.0, 38.05),
    ],
)
def test_years_between_spurious_trips(voting, beta, years):
    rate = spurious_trip_rate_per_h(voting, safe_per_h=1e-6, beta=beta)
    assert hours_between_spurious_trips(rate) / YEAR_H == pytest.approx(years, rel=1e-3)


@pytest.mark.parametrize("voting", VOTINGS)
def test_all_common_cause_trips_like_one_channel(voting):
    assert spurious_trip_rate_per_h(voting, safe_per_h=1e-6, beta=1.0) == pytest.approx(1e-6)


@pytest.mark.parametrize(
    ("voting", "share", "expected"),
    [("1oo2", 0.1, 0.1), ("2oo3", 0.1, 0.15), ("1oo3", 0.1, 0.05), ("2oo3", 0.8, 1.0)],
)
def test_common_cause_share_by_voting(voting, share, expected):
    assert beta_for_voting(share, voting) == pytest.approx(expected)


def test_single_channel_has_no_common_cause():
    with pytest.raises(DomainError, match="voting"):
        beta_for_voting(0.1, "1oo1")


def test_safe_failure_fraction_needs_a_failure():
    assert safe_failure_fraction(0.0, 0.0, 1e-7) == 0.0
    with pytest.raises(DomainError, match="sum of the failure rates"):
        safe_failure_fraction(0.0, 0.0, 0.0)


@pytest.mark.parametrize("arguments", [("C", 0.9, 0), ("A", 1.1, 0), ("A", 0.9, -1), ("A", 0.9, 0.5)])
def test_route_1h_refuses_what_is_not_in_its_tables(arguments):
    with pytest.raises(DomainError):
        level_by_route_1h(*arguments)


@pytest.mark.parametrize("arguments", [(0, "low"), (5, "low"), (True, "low"), (2, "rare")])
def test_fault_tolerance_refuses_what_is_not_in_its_table(arguments):
    with pytest.raises(DomainError):
        minimum_hardware_fault_tolerance(*arguments)
