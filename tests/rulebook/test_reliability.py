"""Whole functions: published worked values, identities, monotonicity, levels, votes, intervals.

Sources: I. Dolan, SIL Calculations, 61508 Association workshop, 2024 (published; here [S1]); IEC
61508-6:2010 annex B, recomputed from its formulas (from memory where the tables are meant); IEC
61508-2:2010 tables 2 and 3 and IEC 61511-1:2016 table 6 (published in secondary copies).
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from specapp.kernel.errors import DomainError
from specapp.rulebook.reliability import (
    RADIAL_VOTES,
    compare_votes,
    credited_vote,
    function_result,
    leg_rates,
    levels,
    limit_of_level,
    longest_proof_test_interval,
    stage_result,
    vote_pfd,
)
from specapp.rulebook.reliability_working import working
from tests.rulebook.failure_samples import YEAR_H, element, proof_tested, stage

PROPERTY = settings(max_examples=60, deadline=None)
RATES = st.floats(1e-9, 2e-6)
SHARES = st.floats(0.0, 1.0)


@st.composite
def elements(draw):
    return element(
        draw(RATES),
        draw(RATES),
        safe_undetected_per_h=draw(RATES),
        beta=draw(SHARES),
        beta_detected=draw(SHARES),
        repair_time_h=draw(st.floats(0.0, 200.0)),
        restoration_time_h=draw(st.floats(0.0, 200.0)),
    )


VOTES = st.sampled_from(("1oo1", "1oo2", "2oo2", "2oo3", "1oo3", "trip_with_alarm"))


@st.composite
def functions(draw):
    voted = stage(draw(VOTES), *draw(st.lists(elements(), min_size=1, max_size=3)))
    others = [
        stage("1oo1", each, name=f"stage {i}")
        for i, each in enumerate(draw(st.lists(elements(), max_size=3)))
    ]
    return voted, *others


@pytest.mark.parametrize(
    ("voting", "undetected", "detected", "beta", "beta_detected", "changes", "expected"),
    [
        ("1oo1", 1e-6, 1.5e-6, 0, 0, {}, 4.400e-3),
        ("1oo2", 1e-6, 1.5e-6, 0.1, 0.05, {}, 4.618e-4),
        ("1oo2", 2e-6, 3e-6, 0.1, 0.05, {}, 9.683e-4),
        ("2oo3", 2.5e-7, 2.25e-6, 0.2, 0.1, {}, 2.252e-4),
        ("1oo2", 1e-6, 5e-6, 0.05, 0.02, {"repair_h": 168.0}, 2.554853e-4),
        ("1oo1", 1e-6, 5e-6, 0.05, 0.02, {"repair_h": 168.0}, 4.588e-3),
        ("1oo1", 2e-6, 0, 0.05, 0, {"repair_h": 0.0}, 8.760e-3),
        ("1oo2", 2e-6, 0, 0.05, 0, {"repair_h": 0.0}, 5.3034e-4),
        ("2oo2", 2e-6, 0, 0.05, 0, {"repair_h": 0.0}, 1.752e-2),
        ("2oo3", 2e-6, 0, 0.05, 0, {"repair_h": 0.0}, 7.1502e-4),
        ("2oo3", 8e-7, 1.2e-6, 0.1, 0.05, {}, 3.945e-4),
        ("1oo3", 8e-7, 1.2e-6, 0.1, 0.05, {}, 3.516e-4),
    ],
)
def test_check_values_hold_for_a_function_of_one_stage(
    voting, undetected, detected, beta, beta_detected, changes, expected
):
    one = element(undetected, detected, beta=beta, beta_detected=beta_detected)
    found = function_result([stage(voting, one)], proof_tested(**changes)).pfd
    assert found == pytest.approx(expected, rel=2e-4)


def test_the_published_worked_function():
    """[S1]: initiators 2oo3 2.36E-04, valves 1oo2 with 120 h 1.05E-03, both printed to three figures."""
    initiators = element(5e-7, 8e-7, beta=0.1, beta_detected=0.1)
    valves = element(2.1e-6, 4e-7, beta=0.1, beta_detected=0.1, repair_time_h=120.0, restoration_time_h=120.0)
    found = function_result([stage("2oo3", initiators), stage("1oo2", valves, name="valves")], proof_tested())
    assert [f"{each.pfd:.2E}" for each in found.stages] == ["2.36E-04", "1.05E-03"]
    assert found.pfd == pytest.approx(2.36e-4 + 1.05e-3, rel=5e-3)
    tripled = replace(initiators, beta=0.15, beta_detected=0.15)
    assert f"{stage_result(stage('2oo3', tripled), proof_tested()).pfd:.2E}" == "3.44E-04"
    by_vote = stage_result(stage("2oo3", initiators), proof_tested(beta_by_vote=True))
    assert f"{by_vote.pfd:.2E}" == "3.44E-04"


def test_the_published_valves_with_a_test_that_finds_85_percent():
    """[S1] 2.71E-03; the interval of ten years of the full test is inferred from the source."""
    valves = element(2.1e-6, 4e-7, beta=0.1, beta_detected=0.1, repair_time_h=120.0, restoration_time_h=120.0)
    partial = proof_tested(coverage=0.85, full_interval_h=10 * YEAR_H)
    assert f"{function_result([stage('1oo2', valves)], partial).pfd:.2E}" == "2.71E-03"


@pytest.mark.parametrize(("interval_h", "printed", "level"), [(YEAR_H, 1.34e-2, 1), (YEAR_H / 2, 6.75e-3, 2)])
def test_sensors_and_two_valves_in_series(interval_h, printed, level):
    """IEC 61508-6 B.3.2.4 (inputs from memory) without its 1oo2D logic, which adds 1.0E-05 of 1.3E-02."""
    found = function_result(
        [
            stage("2oo3", element(2.5e-7, 2.25e-6, beta=0.2, beta_detected=0.1)),
            stage("1oo1", element(1e-6, 1.5e-6), name="valve A"),
            stage("1oo1", element(2e-6, 3e-6), name="valve B"),
        ],
        proof_tested(interval_h=interval_h),
    )
    assert found.pfd == pytest.approx(printed, rel=6e-3)
    assert levels(found, control_system_risk_reduction=10).by_pfd == level


@pytest.mark.parametrize(
    ("voting", "beta", "years"),
    [
        ("1oo1", 0, 114.2),
        ("1oo2", 0, 57.08),
        ("2oo2", 0, 7.135e6),
        ("2oo3", 0, 2.378e6),
        ("2oo3", 0.05, 2281),
    ],
)
def test_years_between_spurious_trips(voting, beta, years):
    found = function_result([stage(voting, element(1e-7, beta=beta))], proof_tested())
    assert 1 / found.spurious_per_year == pytest.approx(years, rel=1e-3)


def test_faults_that_trip_add_to_the_spurious_trips():
    one = element(1e-7, 1e-6)
    alarmed = stage_result(stage("2oo2", one), proof_tested()).spurious_per_year
    tripping = stage_result(stage("2oo2", one, faults_trip=True), proof_tested()).spurious_per_year
    assert tripping == pytest.approx(4 * alarmed)  # the rate is doubled and stands squared


@PROPERTY
@given(st.lists(elements(), min_size=1, max_size=4))
def test_devices_of_one_leg_in_series_add_up(legs):
    whole = function_result([stage("1oo1", *legs)], proof_tested())
    apart = function_result([stage("1oo1", each) for each in legs], proof_tested())
    assert whole.pfd == pytest.approx(apart.pfd)
    assert whole.spurious_per_year == pytest.approx(apart.spurious_per_year)


@PROPERTY
@given(elements())
def test_common_cause_of_one_makes_two_channels_one(one):
    sure = replace(one, beta=1.0, beta_detected=1.0)
    pair = function_result([stage("1oo2", sure)], proof_tested()).pfd
    assert pair == pytest.approx(function_result([stage("1oo1", sure)], proof_tested()).pfd)


@PROPERTY
@given(functions())
def test_parts_share_the_whole(made):
    found = function_result(made, proof_tested())
    parts = [each.pfd * share for each in found.stages for share in each.element_shares]
    assert sum(parts) == pytest.approx(found.pfd)
    assert all(part >= 0 for part in parts)


@PROPERTY
@given(functions(), st.floats(1.0, 10.0))
def test_rarer_tests_never_help(made, times):
    base = function_result(made, proof_tested()).pfd
    assert function_result(made, proof_tested(interval_h=YEAR_H * times)).pfd >= base * (1 - 1e-12)


@PROPERTY
@given(functions(), st.floats(0.01, 1.0), st.floats(0.01, 1.0))
def test_a_better_test_never_harms(made, first, second):
    worse, better = sorted((first, second))
    found = [
        function_result(made, proof_tested(coverage=coverage, full_interval_h=10 * YEAR_H)).pfd
        for coverage in (worse, better)
    ]
    assert found[1] <= found[0] * (1 + 1e-12)


@PROPERTY
@given(elements(), st.floats(1.0, 3.0), VOTES)
def test_more_hidden_failures_never_help(one, times, voting):
    worse = replace(one, dangerous_undetected_per_h=one.dangerous_undetected_per_h * times)
    assert function_result([stage(voting, worse)], proof_tested()).pfd >= (
        function_result([stage(voting, one)], proof_tested()).pfd * (1 - 1e-12)
    )


@PROPERTY
@given(elements(), st.floats(0.0, 1.0))
def test_more_common_cause_never_helps_two_of_rare_failures(one, beta):
    rare = replace(one, dangerous_undetected_per_h=1e-8, dangerous_detected_per_h=1e-8, beta_detected=0.0)
    low, high = (
        function_result([stage("1oo2", replace(rare, beta=value))], proof_tested()).pfd
        for value in (beta / 2, beta)
    )
    assert high >= low * (1 - 1e-12)


@PROPERTY
@given(elements())
def test_votes_stand_in_their_order(one):
    lines = {line.voting: line for line in compare_votes([stage("1oo2", one)], proof_tested(), copies=True)}
    assert tuple(lines) == RADIAL_VOTES
    assert lines["1oo1"].pfd <= lines["2oo2"].pfd == lines["trip_with_alarm"].pfd
    assert lines["1oo2"].pfd <= lines["2oo3"].pfd
    assert lines["1oo2"].spurious_per_year >= lines["1oo1"].spurious_per_year * (1 - 1e-12)


@PROPERTY
@given(functions())
def test_components_are_never_better_than_copies(made):
    apart = compare_votes(made, proof_tested(), copies=False)
    for line in apart:
        assert line.pfd_of_components >= min(line.pfd, apart[0].pfd) * (1 - 1e-12)
    as_copies = compare_votes(made, proof_tested(), copies=True)
    assert all(line.pfd == line.pfd_of_components for line in as_copies)


@pytest.mark.parametrize(
    ("voting", "counted"),
    [
        ("1oo1", "1oo1"),
        ("1oo2", "1oo1"),
        ("1oo6", "1oo1"),
        ("2oo2", "2oo2"),
        ("trip_with_alarm", "2oo2"),
        ("2oo3", "2oo2"),
    ],
)
def test_what_is_counted_of_legs_that_are_no_copies(voting, counted):
    assert credited_vote(voting, copies=False) == counted
    assert credited_vote(voting, copies=True) == voting


# Guards


@pytest.mark.parametrize(
    ("undetected", "interval_h", "state"),
    [
        (1e-5, 10_000.0, "valid"),
        (1e-5, 10_001.0, "doubtful"),
        (1e-5, 43_800.0, "doubtful"),
        (2.5e-5, 87_600.0, "refused"),
    ],
)
def test_the_formula_is_warned_of_and_refused(undetected, interval_h, state):
    found = function_result([stage("1oo1", element(undetected))], proof_tested(interval_h=interval_h))
    assert found.validity.state == state


def test_stages_that_pass_one_together_are_refused():
    one = element(2.5e-5)
    halves = [stage("1oo1", one, name=f"stage {i}") for i in range(4)]
    found = function_result(halves, proof_tested(interval_h=3 * YEAR_H))
    assert all(each.validity.state != "refused" for each in found.stages)
    assert found.validity.state == "refused"


@pytest.mark.parametrize(
    "bad",
    [
        element(-1e-7),
        element(1e-7, -1e-7),
        element(1e-7, beta=1.5),
        element(1e-7, repair_time_h=-1.0),
    ],
)
def test_impossible_data_are_refused_by_name(bad):
    with pytest.raises(DomainError):
        function_result([stage("1oo2", bad)], proof_tested())


@pytest.mark.parametrize(
    "changes", [{"coverage": 1.1}, {"coverage": 0.9, "full_interval_h": 8000.0}, {"interval_h": 0.0}]
)
def test_impossible_tests_are_refused(changes):
    with pytest.raises(DomainError):
        function_result([stage("1oo2", element(1e-7))], proof_tested(**changes))


def test_a_vote_with_diagnostics_is_refused_by_name():
    with pytest.raises(DomainError, match="1oo2D"):
        vote_pfd("1oo2D", leg_rates((element(1e-7),), proof_tested()), proof_tested())


# Levels


def safe_share(share, **changes):
    """Return data whose safe failure fraction is this share."""
    return element(1e-8 * (1 - share), safe_undetected_per_h=1e-8 * share, **changes)


@pytest.mark.parametrize(
    ("voting", "kind", "share", "route", "tolerance"),
    [
        ("1oo1", "B", 0.92, 2, 2),
        ("1oo1", "B", 0.59, 0, 2),
        ("1oo1", "A", 0.59, 1, 2),
        ("1oo2", "B", 0.92, 3, 3),
        ("2oo2", "A", 0.92, 3, 2),
        ("2oo3", "A", 0.92, 4, 3),
        ("1oo3", "A", 0.92, 4, 4),
    ],
)
def test_what_the_architecture_allows(voting, kind, share, route, tolerance):
    """IEC 61508-2 route 1H and IEC 61511-1 table 6, both published in secondary copies."""
    made = stage(voting, safe_share(share, component_type=kind))
    found = levels(function_result([made], proof_tested()), control_system_risk_reduction=10)
    assert (found.by_route_1h, found.by_fault_tolerance) == (route, tolerance)
    assert found.claimed == min(found.by_pfd, route, tolerance)


def test_the_weakest_stage_limits_the_architecture_and_is_named():
    pair = stage("1oo2", safe_share(0.95))
    single = stage("1oo1", safe_share(0.5, device="trip_valve"), name="trip valve")
    found = levels(function_result([pair, single], proof_tested()), control_system_risk_reduction=10)
    assert (found.by_route_1h, found.route_1h_limited_by) == (1, "trip_valve")
    assert (found.by_fault_tolerance, found.fault_tolerance_limited_by) == (2, "trip valve")


def test_a_trip_in_the_basic_control_system_claims_no_level():
    made = [
        stage("1oo1", safe_share(0.95)),
        stage("1oo1", safe_share(0.95, device="control_system"), name="control"),
    ]
    found = levels(function_result(made, proof_tested()), control_system_risk_reduction=10)
    assert found.by_pfd > 0
    assert found.control_system_limits
    assert found.claimed == 0


@pytest.mark.parametrize(("pfd", "level"), [(1e-1, 0), (0.0999, 1), (1e-2, 1), (0.00999, 2), (1e-3, 2)])
def test_a_decade_belongs_to_the_lower_level(pfd, level):
    made = stage("1oo1", element(pfd / 1000 * 2, repair_time_h=0.0))
    found = function_result([made], proof_tested(interval_h=1000.0))
    assert found.pfd == pytest.approx(pfd)
    assert levels(found, control_system_risk_reduction=10).by_pfd == level


# The longest proof-test interval


@PROPERTY
@given(functions(), st.integers(1, 4))
def test_the_interval_found_is_the_longest_within_its_error(made, level):
    limit = limit_of_level(level)
    search = longest_proof_test_interval(made, proof_tested(), limit_pfd=limit)
    low, high = search.searched_h
    if search.interval_h is None:
        assert function_result(made, proof_tested(interval_h=low)).pfd >= limit
        return
    assert function_result(made, proof_tested(interval_h=search.interval_h)).pfd < limit
    if search.capped:
        assert search.interval_h == high
    else:
        assert search.error_h <= 1.0
        assert function_result(made, proof_tested(interval_h=search.interval_h + search.error_h)).pfd >= limit


def test_the_interval_of_a_single_channel_is_that_of_its_formula():
    search = longest_proof_test_interval(
        [stage("1oo1", element(1e-6, repair_time_h=8.0))], proof_tested(), limit_pfd=1e-2
    )
    assert search.interval_h == pytest.approx(2 * (1e-2 / 1e-6 - 8), abs=search.error_h)


def test_a_proof_test_is_never_rarer_than_the_full_test():
    partial = proof_tested(coverage=0.9, full_interval_h=2 * YEAR_H)
    search = longest_proof_test_interval([stage("1oo1", element(1e-9))], partial, limit_pfd=1e-1)
    assert search.capped
    assert search.interval_h == 2 * YEAR_H


@pytest.mark.parametrize("limit", [0.0, 1.0, -1.0])
def test_a_limit_that_is_no_probability_is_refused(limit):
    with pytest.raises(DomainError):
        longest_proof_test_interval([stage("1oo1", element(1e-7))], proof_tested(), limit_pfd=limit)


# Working


@PROPERTY
@given(functions(), st.booleans(), st.sampled_from((1.0, 0.85)))
def test_the_working_ends_in_the_number_of_the_calculation(made, by_vote, coverage):
    full = None if coverage == 1 else 10 * YEAR_H
    how = proof_tested(beta_by_vote=by_vote, coverage=coverage, full_interval_h=full)
    for each in made:
        lines = working(each, how)
        result = stage_result(each, how)
        assert lines.pfd == result.pfd
        assert lines.lines[-1].endswith(f"= {result.pfd:.3E}")
        assert f"{result.spurious_per_year:.3g} a year" in lines.spurious_lines[-1]


def test_the_working_shows_every_step_of_two_channels():
    one = element(1e-6, 1.5e-6, beta=0.1, beta_detected=0.05)
    lines = working(stage("1oo2", one), proof_tested()).lines
    names = [line.partition(" = ")[0].partition(":")[0] for line in lines]
    assert names == ["λDU", "β", "tCE", "tGE", "X", "CCF", "1oo2"]
    assert lines[-1].endswith("4.618E-04")
    numbers = {line.partition(" ")[0]: line.rpartition("= ")[2] for line in lines}
    down, second = (float(numbers[name].split()[0]) for name in ("tCE", "tGE"))
    spread = float(numbers["X"].removesuffix("/h"))
    common = float(numbers["CCF"])
    assert 2 * spread**2 * down * second + common == pytest.approx(4.618e-4, rel=1e-3)
